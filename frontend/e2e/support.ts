import { expect, type Page } from "@playwright/test";
import axe from "axe-core";
import { credentials, type Setup } from "./caller";

/** The demo member whose projects the tests start; the second one is on no crew of them. */
export const petra = "Petra Lindahl";
export const tomasz = "Tomasz Reyes";

/**
 * signIn looks through the eyes of a demo person, with the register of projects
 * open. It asks for the session itself: entrance.spec.ts enters by the page.
 */
export async function signIn(page: Page, name = petra): Promise<void> {
  const data = credentials((await (await page.request.get("/api/v1/setup")).json()) as Setup, name);
  const session = await page.request.post("/api/v1/session", { data });
  expect(session.ok(), await session.text()).toBe(true);
  await open(page, "/projects", "Projects");
}

/** title makes a name that no other run used, so that tests can run again on one server. */
export function title(of: string): string {
  return `${of} ${Date.now().toString(36)}${Math.floor(Math.random() * 1e6).toString(36)}`;
}

/** startProject starts a project by hand and answers its path. */
export async function startProject(page: Page, name: string): Promise<string> {
  await page.goto("/projects/new");
  await page.getByLabel("Title").fill(name);
  await page.getByRole("button", { name: "Start the project" }).click();
  await expect(page.getByRole("heading", { name, level: 1 })).toBeVisible();
  return new URL(page.url()).pathname;
}

/** open goes to an address and waits for its heading. */
export async function open(page: Page, path: string, heading: string) {
  await page.goto(path);
  await expect(page.getByRole("heading", { name: heading }).first()).toBeVisible();
}

/** openProject finds a project in the register, and opens it or a page under it. */
export async function openProject(page: Page, title: string, under = "") {
  await open(page, "/projects", "Projects");
  const link = page.getByRole("link", { name: title }).first();
  const older = page.getByRole("button", { name: "Older projects" });
  await link.or(older).first().waitFor();
  let there = await link.isVisible();
  while (!there) {
    const [answer] = await Promise.all([page.waitForResponse(/\/projects\?/), older.click()]); // other walks have started many
    there = (await answer.text()).includes(title);
  }
  await link.click();
  await expect(page.getByRole("heading", { name: title, level: 1 })).toBeVisible();
  if (under) {
    await page.goto(new URL(page.url()).pathname + under);
    await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
    await expect(page.getByRole("textbox").first()).toBeVisible();
  }
}

/** openSheet opens a design that has a sheet, from the register on. */
export async function openSheet(page: Page, project: string, design: string) {
  await openProject(page, project);
  await page.getByRole("link", { name: design }).first().click();
  await expect(page.locator(".sheet-drawing svg").first()).toBeVisible();
  await expect(page.getByText("Fetching")).toHaveCount(0);
}

/**
 * expectFit checks a page as it stands: no sideways scroll at 320 px, and no
 * finding of axe, narrow on paper and wide on blueprint.
 */
export async function expectFit(page: Page): Promise<void> {
  const size = page.viewportSize();
  for (const [colorScheme, width] of [
    ["light", 320],
    ["dark", 1280],
  ] as const) {
    await page.emulateMedia({ colorScheme });
    await page.setViewportSize({ width, height: 740 });
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    expect(over, `sideways scroll at ${width} px`).toBe(0);
    expect(await axeFindings(page), `axe, ${colorScheme}, ${width} px`).toEqual([]);
  }
  if (size) {
    await page.setViewportSize(size);
  }
}

/**
 * axeFindings tells what axe finds wrong with the page, a line for each rule with
 * its places. It runs in the page itself: the pages have no frames to put together.
 * Contrast, which takes the longest by far, is looked at once for each way in which
 * text is dressed: in the same colours it is the same on every page.
 */
export async function axeFindings(page: Page): Promise<string[]> {
  await page.getByRole("heading", { level: 1 }).first().waitFor(); // the page is there
  if (!(await page.evaluate(() => "axe" in window))) {
    await page.evaluate(axe.source);
  }
  const { found, looked, dressed } = await page.evaluate(
    async ({ values, known }) => {
      const ground = matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
      const fresh = new Map<string, Element>();
      for (const e of document.querySelectorAll("body *")) {
        if (e.checkVisibility() && [...e.childNodes].some((n) => n.nodeType === Node.TEXT_NODE && n.nodeValue?.trim())) {
          let dress: string = ground;
          for (let at: Element | null = e; at; at = at.parentElement) {
            dress += ` ${at.localName}`;
            for (const { name, value } of at.attributes) {
              if (/^(class|style|open|disabled|type|hidden|data-.*|aria-(current|pressed|selected|invalid|disabled|expanded|checked))$/.test(name)) {
                dress += `[${name}=${value}]`;
              }
            }
          }
          if (!known.includes(dress)) {
            fresh.set(dress, e);
          }
        }
      }
      const all = [await window.axe.run({ runOnly: { type: "tag", values }, rules: { "color-contrast": { enabled: false } }, resultTypes: ["violations"] })];
      if (fresh.size > 0) {
        all.push(await window.axe.run({ include: [...fresh.values()] }, { runOnly: "color-contrast", resultTypes: ["violations"] }));
      }
      return {
        found: all.flatMap((a) => a.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(" ")).join("; ")}`)),
        looked: all[0]?.passes.length,
        dressed: [...fresh.keys()],
      };
    },
    { values: rules, known: [...seen] },
  );
  expect(looked, "rules of axe that the page keeps to").toBeGreaterThan(0);
  for (const d of dressed) {
    seen.add(d);
  }
  return found;
}

/** seen has every dress of text that axe has looked at. */
const seen = new Set<string>();

declare global {
  interface Window {
    axe: typeof axe;
  }
}

const rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** expectHandSized checks that what is pressed is at least 44 px high. */
export async function expectHandSized(page: Page): Promise<void> {
  const small = await page.locator("button, a.do, nav a, select, input:not([type=radio], [type=checkbox]), textarea, label:has(input[type=radio], input[type=checkbox])").evaluateAll((all) =>
    all
      .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 43.5)
      .map((e) => `${e.tagName} ${e.textContent.slice(0, 30)} ${e.getBoundingClientRect().height}`),
  );
  expect(small).toEqual([]);
}
