import { expect, test, type Page } from "@playwright/test";
import { openSheet, petra, tomasz } from "./support";
import { dice, Editor, enter, figures, pick, type Dice } from "./walk";

/**
 * Three people of the demo at once, each in a browser of their own: two edit
 * one draft, the third reads, compares and prints. LEAT_WALK_MINUTES says for
 * how long; without it they do one round. LEAT_WALK_SEED repeats a walk.
 */
const minutes = Number(process.env["LEAT_WALK_MINUTES"] ?? 0);
const seed = Number(process.env["LEAT_WALK_SEED"] ?? Date.now() % 1e6);

const project = "Nursery pond air";
const design = "Garden trompe";

/** Sheets that the reader turns to: whose they are matters as little as what they answer. */
const others = [
  ["Bench rig in the school lab", "Straight onto the tap"],
  ["Air for the sawpit", "Down to the rock"],
  ["Workshop air from the roof", "Down from the gutter"],
] as const;

test("three people at once lose nothing", async ({ browser }) => {
  test.setTimeout((minutes + 2) * 60_000);
  console.log(`walk with seed ${seed}`);
  const roll = dice(seed);
  const faults: string[] = [];
  const truth = new Map<string, number>();
  const pages = [await enter(browser, petra, faults), await enter(browser, "Bram Oduya", faults)];
  const reader = await enter(browser, tomasz, faults);
  const editors = pages.map((page, i) => new Editor(i === 0 ? petra : "Bram Oduya", page, truth));
  for (const page of pages) {
    await openSheet(page, project, design);
  }

  const ends = Date.now() + minutes * 60_000;
  let rounds = 0;
  do {
    await meet(roll, editors);
    const one = pick(roll, editors);
    await one.types(pick(roll, figures), roll);
    await (roll() < 0.5 ? one.reloads() : one.isCutOff());
    await one.saves();
    await pick(roll, [reads, compares, prints])(reader, roll);
    expect(faults, `round ${rounds + 1}, seed ${seed}`).toEqual([]);
    rounds++;
  } while (Date.now() < ends);
  await compares(reader);
  await prints(reader);
  expect(faults).toEqual([]);
  console.log(`${rounds} rounds, nothing lost`);
  await Promise.all([...pages, reader].map((p) => p.context().close()));
});

/** Both change the draft; who saves second meets the first one's text, and both texts are kept. */
async function meet(roll: Dice, editors: Editor[]) {
  const [first, second] = roll() < 0.5 ? editors : [...editors].reverse();
  if (!first || !second) {
    throw new Error("it takes two");
  }
  const theirs = pick(roll, figures);
  const mine = roll() < 0.3 ? theirs : pick(roll, figures); // at times both change the same figure
  await second.types(mine, roll);
  await first.types(theirs, roll);
  await first.saves();
  expect(await second.saves(), "who saves second is told").toBeGreaterThan(0);
}

async function reads(page: Page, roll: Dice) {
  const [of, title] = pick(roll, others);
  await openSheet(page, of, title);
  await page.reload();
  await expect(page.locator(".gist").first()).not.toBeEmpty();
  await expect(page.getByRole("link", { name: of })).toBeVisible();
}

async function compares(page: Page) {
  await openSheet(page, project, design);
  await expect(page.getByRole("button", { name: "Save the sheet" })).toHaveCount(0);
  await page.getByRole("link", { name: "Compare two sheets" }).click();
  await expect(page.getByRole("heading", { name: "Two sheets side by side" })).toBeVisible();
  await expect(page.getByRole("table").first()).toBeVisible();
}

async function prints(page: Page) {
  await openSheet(page, project, design);
  await page.emulateMedia({ media: "print" });
  await expect(page.locator(".on-paper svg").first()).toBeVisible();
  await expect(page.locator("form.sheet")).toContainText(project);
  expect((await page.pdf({ format: "A4" })).byteLength).toBeGreaterThan(20_000);
  await page.emulateMedia({ media: "screen" });
}
