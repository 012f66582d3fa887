import { readFile } from "node:fs/promises";
import { expect, test, type Page } from "@playwright/test";
import { expectFit, expectHandSized, openSheet, signIn, tomasz } from "./support";

test.use({ viewport: { width: 390, height: 800 } });

const riser = "EN ISO 1452-2, S6.3 SDR13.6, d40 PN16";

/** add puts something on the shelf. */
async function add(page: Page, thing: string, length: string, note: string) {
  await page.goto("/stock");
  await page.getByRole("link", { name: "Add what is there" }).click();
  await page.getByLabel("What it is").fill(thing);
  await page.getByLabel("Length of one").fill(length);
  await page.getByRole("textbox", { name: /^Note/ }).fill(note);
  await page.getByRole("button", { name: "Add it" }).click();
  await expect(page.getByText(note)).toBeVisible();
}

/** toCuts goes from the bench rig to what is to be bought for it. */
async function toCuts(page: Page) {
  await openSheet(page, "Bench rig in the school lab", "In pipe from the shop");
  await page.getByRole("link", { name: /What to buy and cut for B\.2/ }).click();
  await expect(page.getByRole("heading", { name: "Cutting plan" })).toBeVisible();
}

// The riser of the rig is cut to 1067 mm: 1015 mm from the chamber's lip to its
// outlet, and 26 mm into a socket at each end (ISO 727-1: half of 40 mm and 6 mm).
test("two offcuts go on the list, the plan uses one and nothing is bought", async ({ page }) => {
  await signIn(page, tomasz);
  await toCuts(page);
  const plan = page.getByRole("region", { name: riser });
  await expect(plan).toContainText("to buy");
  await expect(page.getByText("Sold in 3.00")).not.toHaveCount(0);
  await expectHandSized(page);
  await expectFit(page);

  await add(page, riser, "0,9", "short one, under the bench");
  await add(page, riser, "1.2 m", "long one, under the bench");
  await expectHandSized(page);
  await expectFit(page);
  await toCuts(page);
  await expect(plan).toContainText("from the shelf (long one, under the bench)");
  await expect(plan).not.toContainText("short one");
  await expect(plan).not.toContainText("to buy");
  await expect(plan).toContainText(/1067\smm riser/);

  const wait = page.waitForEvent("download");
  await page.getByRole("button", { name: "Cutting plan as CSV" }).click();
  const file = await wait;
  expect(file.suggestedFilename()).toBe("B.2-cuts.csv");
  expect(await readFile(await file.path(), "utf8")).toMatch(/d40-pn16,1,"at hand, item \d+",1200\.0,/);
});

test("a line is corrected and taken out; what somebody typed survives a reload and a dead connection", async ({ page }) => {
  await signIn(page, tomasz);
  const note = `spare ${Date.now().toString(36)}`;
  await add(page, "tee 40 mm", "", note);
  await page.getByRole("row", { name: note }).getByRole("link", { name: "Correct" }).click();
  await page.getByLabel("How many").fill("3");
  await page.reload();
  await expect(page.getByLabel("How many")).toHaveValue("3");
  await expectHandSized(page);
  await expectFit(page);
  await page.context().setOffline(true);
  await page.getByRole("button", { name: "Save the line" }).click();
  await expect(page.getByRole("alert")).toContainText("No connection");
  await page.context().setOffline(false);
  await page.getByRole("button", { name: "Save the line" }).click();
  await expect(page.getByRole("row", { name: note })).toContainText("3");
  await page.getByRole("row", { name: note }).getByRole("link", { name: "Correct" }).click();
  await page.getByRole("button", { name: "Take it out of the list" }).click();
  await expect(page.getByRole("heading", { name: "Stock list", level: 1 })).toBeVisible();
  await expect(page.getByText(note)).toHaveCount(0);
});

test("who is about to buy for a machine that may not be built reads it there", async ({ page }) => {
  await signIn(page, tomasz);
  await openSheet(page, "Bench rig in the school lab", "In pipe from the shop");
  await page.goto(`${new URL(page.url()).pathname}/A.1/parts`);
  await expect(page.getByText("Not allowed as drawn: chamber.")).toBeVisible();
  await expectFit(page);
});
