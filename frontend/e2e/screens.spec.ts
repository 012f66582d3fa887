import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { expect, test, type Page } from "@playwright/test";
import { axeFindings, open, openProject, openSheet, petra, signIn } from "./support";

/**
 * Every screen at three widths on both grounds: no sideways scroll, and no
 * finding of axe at the narrow and the wide one. With LEAT_PICTURES set to a
 * folder, pictures of all of them and of the printed pages are put there.
 */
const pictures = process.env["LEAT_PICTURES"];
const widths = [320, 390, 1280];
const grounds = ["light", "dark"] as const;

interface Screen {
  name: string;
  show: (page: Page) => Promise<void>;
  printed?: boolean;
}

const before: Screen[] = [
  { name: "sign-in", show: (p) => open(p, "/", "Sign in") },
  {
    name: "first-keeper",
    show: async (p) => {
      await p.route("**/api/v1/setup", (r) => r.fulfill({ json: { needs_keeper: true, demo: null } }));
      await open(p, "/", "A new notebook");
    },
  },
  {
    name: "no-answer",
    show: async (p) => {
      await p.route("**/api/v1/setup", (r) => r.abort());
      await open(p, "/", "The notebook does not answer");
    },
  },
];

const codes: Screen[] = [
  { name: "join", show: (p) => open(p, "/join#ABCD-EFGH-JKLM", "Join the group") },
  { name: "reset", show: (p) => open(p, "/reset#ABCD-EFGH-JKLM", "Set a new password") },
];

const inside: Screen[] = [
  { name: "projects", show: (p) => open(p, "/projects", "Projects"), printed: true },
  {
    name: "projects-empty",
    show: async (p) => {
      await p.route("**/api/v1/projects?*", (r) => r.fulfill({ json: { items: [], next: null } }));
      await open(p, "/projects", "Nothing is drawn yet");
    },
  },
  { name: "search", show: (p) => open(p, "/site", "What can my site give?") },
  { name: "reckoner", show: (p) => open(p, "/reckoner", "Water and its sources"), printed: true },
  { name: "reckoner-one", show: (p) => open(p, "/reckoner/system/vnotch?in=%7B%22angle_deg%22%3A90%2C%22h%22%3A0.18%7D", "Flow of a stream over a V-notch weir"), printed: true },
  { name: "new-project", show: (p) => open(p, "/projects/new", "Start a project") },
  { name: "project", show: (p) => openProject(p, pond), printed: true },
  { name: "project-of-others", show: (p) => openProject(p, bench) },
  { name: "project-without-crew", show: (p) => openProject(p, "Workshop air from the roof") },
  { name: "change-project", show: (p) => openProject(p, pond, "/change") },
  { name: "site", show: (p) => openProject(p, pond, "/site"), printed: true },
  { name: "new-design", show: (p) => openProject(p, pond, "/designs/new") },
  { name: "sheet", show: (p) => openSheet(p, pond, "Garden trompe"), printed: true },
  { name: "sheet-surplus", show: (p) => openSheet(p, "Air for the sawpit", "Down to the rock"), printed: true },
  { name: "sheet-starved", show: (p) => openSheet(p, "Workshop air from the roof", "Down from the gutter"), printed: true },
  {
    name: "kept-sheet",
    show: async (p) => {
      await openSheet(p, bench, "Trompe on the bench");
      await p.getByRole("link", { name: "A.1", exact: true }).click();
      await expect(p.getByRole("heading", { name: "Sheet A.1" })).toBeVisible();
      await expect(p.locator("svg").first()).toBeVisible();
    },
    printed: true,
  },
  { name: "stock", show: (p) => open(p, "/stock", "On the shelf"), printed: true },
  { name: "stock-new", show: (p) => open(p, "/stock/new", "Add to the stock list") },
  {
    name: "stock-empty",
    show: async (p) => {
      await p.route("**/api/v1/stock", (r) => r.fulfill({ json: { items: [] } }));
      await open(p, "/stock", "On the shelf");
    },
  },
  {
    name: "cuts",
    show: async (p) => {
      await openSheet(p, bench, "In pipe from the shop");
      await p.getByRole("link", { name: /What to buy and cut/ }).click();
      await expect(p.getByRole("heading", { name: "Parts list" })).toBeVisible();
    },
    printed: true,
  },
  { name: "evidence", show: (p) => open(p, "/evidence", "Delivery pressure"), printed: true },
  {
    name: "evidence-empty",
    show: async (p) => {
      const nothing = { coefficient_set: "0", build_count: 0, run_count: 0, aside_count: 0, runs: [], quantities: [], changed_sets: [], allowed_actions: ["propose_set"] };
      await p.route("**/api/v1/evidence", (r) => r.fulfill({ json: nothing }));
      await open(p, "/evidence", "Nothing is confirmed yet");
    },
  },
  { name: "sets", show: (p) => open(p, "/evidence/sets", "Proposed") },
  { name: "set", show: (p) => open(p, "/evidence/sets/2", "What must hold"), printed: true },
  { name: "group", show: (p) => open(p, "/group", "On record"), printed: true },
  {
    name: "group-own-account",
    show: async (p) => {
      await open(p, "/group", "On record");
      await p.getByRole("button", { name: `Change: ${petra}` }).click();
      await p.getByRole("button", { name: "Close my account …" }).click();
      await expect(p.getByRole("button", { name: "Keep it" })).toBeVisible();
    },
  },
  {
    name: "compare",
    show: async (p) => {
      await openSheet(p, bench, "Trompe on the bench");
      await p.getByRole("link", { name: "Compare two sheets" }).click();
      await expect(p.getByRole("table").first()).toBeVisible();
    },
    printed: true,
  },
  { name: "waiting", show: (p) => open(p, "/", "Waiting on you") },
  { name: "stream", show: (p) => open(p, "/stream", "At the stream") },
  { name: "own-account", show: (p) => open(p, "/you", "Your account") },
  { name: "gauging", show: (p) => openProject(p, pond, "/site/gaugings/new") },
  { name: "no-page", show: (p) => open(p, "/nowhere", "There is no page here") },
];

/** Machines that are only looked at: drawing.spec.ts measures their labels and their width. */
const more: Screen[] = [
  { name: "sheet-tap", show: (p) => openSheet(p, bench, "Straight onto the tap") },
  { name: "sheet-ring", show: (p) => openSheet(p, "One pipe in another", "Ring riser"), printed: true },
  { name: "sheet-quarry", show: (p) => openSheet(p, "Quarry face, two pipes", "Two leaning pipes"), printed: true },
  { name: "sheet-well", show: (p) => openSheet(p, "Air for the sawpit", "Chamber in the old well"), printed: true },
  { name: "sheet-bench", show: (p) => openSheet(p, bench, "Trompe on the bench"), printed: true },
];

const pond = "Nursery pond air";
const bench = "Bench rig in the school lab";

/** fit checks the screen as it stands on every width; a picture it takes on both grounds, which change colours alone. */
async function fit(page: Page, name: string, axe: boolean) {
  for (const width of widths) {
    await page.setViewportSize({ width, height: width < 768 ? 740 : 900 });
    for (const colorScheme of pictures ? grounds : [width === 1280 ? "dark" : "light"] as const) {
      await page.emulateMedia({ colorScheme });
      await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      expect(over, `sideways scroll at ${width} px`).toBe(0);
      if (pictures) {
        await page.screenshot({ path: join(pictures, `${name}-${width}-${colorScheme}.png`), fullPage: true });
      }
      if (axe && (width === 320 ? colorScheme === "light" : width === 1280 && colorScheme === "dark")) {
        expect(await axeFindings(page), `axe, ${colorScheme}, ${width} px`).toEqual([]);
      }
    }
  }
}

/** onPaper keeps the page as it is printed, as a picture too: an A4 page less its margins is 688 px wide. */
async function onPaper(page: Page, name: string, folder: string) {
  await page.emulateMedia({ colorScheme: "light" });
  await page.pdf({ path: join(folder, `${name}.pdf`), format: "A4", preferCSSPageSize: false });
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width: 688, height: 1017 });
  await page.screenshot({ path: join(folder, `${name}-paper.png`), fullPage: true });
  await page.emulateMedia({ media: "screen" });
}

/** sweep declares a test for each screen, all in one browser context. */
function sweep(what: string, screens: Screen[], axe: boolean, enter?: (page: Page) => Promise<void>) {
  test.describe(what, () => {
    let page: Page;
    test.beforeAll(async ({ browser }) => {
      page = await (await browser.newContext()).newPage();
      await enter?.(page);
    });
    test.afterAll(() => page.context().close());
    test.afterEach(() => page.unrouteAll());
    for (const screen of screens) {
      test(screen.name, async () => {
        await page.setViewportSize({ width: 1280, height: 900 });
        await screen.show(page);
        await fit(page, screen.name, axe);
        if (pictures && screen.printed) {
          await onPaper(page, screen.name, pictures);
        }
      });
    }
  });
}

if (pictures) {
  mkdirSync(pictures, { recursive: true });
  sweep("more machines", more, false, (page) => signIn(page));
}
sweep("before sign-in", [...before, ...codes], true);
sweep("the notebook", inside, true, (page) => signIn(page));
