import { expect, type Browser, type Page } from "@playwright/test";
import { signIn } from "./support";

/** Dice are numbers from 0 to below 1 that a seed repeats. */
export type Dice = () => number;

/** dice rolls the same numbers for the same seed (a 32-bit mixing generator, good enough to shuffle steps). */
export function dice(seed: number): Dice {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** pick takes one of a list. */
export function pick<T>(roll: Dice, list: readonly T[]): T {
  const one = list[Math.floor(roll() * list.length)];
  if (one === undefined) {
    throw new Error("nothing to pick from");
  }
  return one;
}

/** A figure that people type in the walk: its label, where it stands in the input, and how it is written. */
export interface Figure {
  label: string;
  at: readonly [string, string];
  write: (roll: Dice) => { text: string; si: number };
}

function length(mm: number) {
  const text = mm.toFixed(2);
  return { text: `${text} mm`, si: Number(text) / 1000 };
}

/** What the editors change: none of it stops the machine. */
export const figures: readonly Figure[] = [
  { label: "Number of air tubes", at: ["intake", "n_tubes"], write: (roll) => figureOf(27 + Math.floor(roll() * 6)) },
  { label: "Air tube, length", at: ["intake", "tube_length_m"], write: (roll) => length(400 + 200 * roll()) },
  { label: "Level at which the water leaves", at: ["riser", "outlet_m"], write: (roll) => length(950 + 100 * roll()) },
  { label: "Downcomer, inside", at: ["downcomer", "bore_m"], write: (roll) => length(80 + 4 * roll()) },
];

function figureOf(n: number) {
  return { text: String(n), si: n };
}

type Input = Record<string, Record<string, number>>;

/** What the notebook must hold, by label: the figure that was saved last, whoever saved it. */
export type Truth = Map<string, number>;

/** Somebody who edits the sheet. What they typed and have not saved is remembered, and must never be missing on their screen. */
export class Editor {
  private readonly typed = new Map<string, { text: string; si: number }>();
  private readonly saved: Input[] = [];

  constructor(
    private readonly name: string,
    readonly page: Page,
    private readonly truth: Truth,
  ) {
    page.on("response", async (r) => {
      if (r.request().method() === "POST" && r.url().endsWith("/sheets") && r.status() === 201) {
        this.saved.push(((await r.json()) as { input: { trompe: Input } }).input.trompe);
      }
    });
  }

  async types(f: Figure, roll: Dice): Promise<void> {
    const stands = await this.field(f.label).inputValue();
    let figure = f.write(roll);
    while (figure.text === stands) {
      figure = f.write(roll); // to type what stands there already is no change
    }
    await this.field(f.label).fill(figure.text);
    this.typed.set(f.label, figure);
    await this.keepsAll();
  }

  /** Nothing that was typed is missing on the screen. */
  async keepsAll(): Promise<void> {
    for (const [label, { text }] of this.typed) {
      await expect(this.field(label), `${this.name}: ${label}`).toHaveValue(text);
    }
  }

  async reloads(): Promise<void> {
    await this.page.reload();
    await this.keepsAll();
  }

  /** Tries to save without a connection, and keeps everything. */
  async isCutOff(): Promise<void> {
    await this.page.context().setOffline(true);
    await this.save();
    await expect(this.page.getByRole("alert").filter({ hasText: "No connection" }).first()).toBeVisible();
    await this.keepsAll();
    await this.page.context().setOffline(false);
  }

  /** Saves, through as many meetings with others as there are, and answers how many. What is in the notebook then is the truth. */
  async saves(): Promise<number> {
    const before = this.saved.length;
    for (let met = 0; met < 4; met++) {
      await this.save();
      await expect.poll(async () => this.saved.length > before || (await this.meeting().isVisible()), `${this.name} saves`).toBe(true);
      const input = this.saved[before];
      if (input) {
        this.settle(input);
        return met;
      }
      await this.keepsAll();
      await this.page.getByRole("button", { name: "Done comparing" }).click();
    }
    throw new Error(`${this.name} was overtaken four times`);
  }

  private settle(input: Input) {
    this.typed.forEach(({ si }, label) => this.truth.set(label, si));
    this.typed.clear();
    for (const { label, at } of figures) {
      const want = this.truth.get(label);
      if (want !== undefined) {
        expect(input[at[0]]?.[at[1]], `${label}, as ${this.name} saved it`).toBeCloseTo(want, 9);
      }
    }
  }

  private save() {
    return this.page.getByRole("button", { name: "Save the sheet" }).click();
  }

  private meeting() {
    return this.page.getByRole("alert", { name: "Saved by someone else meanwhile" });
  }

  private field(label: string) {
    return this.page.getByRole("textbox", { name: label, exact: true });
  }
}

/** enter opens a browser of its own for somebody, and collects what must not happen there: broken scripts, errors on the console, faults of the server. */
export async function enter(browser: Browser, name: string, faults: string[]): Promise<Page> {
  const page = await (await browser.newContext()).newPage();
  page.on("pageerror", (e) => faults.push(`${name}: ${e.message}`));
  page.on("console", (m) => {
    // The browser itself reports a visitor not signed in yet, a token of ten minutes that ran out, a save that met another, a lost connection.
    if (m.type() === "error" && !/status of (401|412)|ERR_INTERNET_DISCONNECTED/.test(m.text())) {
      faults.push(`${name}: ${m.text()}`);
    }
  });
  page.on("response", (r) => {
    if (r.status() >= 500) {
      faults.push(`${name}: ${r.status()} ${r.url()}`);
    }
  });
  await signIn(page, name);
  return page;
}
