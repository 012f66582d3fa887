import { expect, test, type Page } from "@playwright/test";
import { expectFit, signIn, startProject, title } from "./support";

async function startDesign(page: Page, name: string): Promise<void> {
  const path = await startProject(page, title(name));
  await page.goto(`${path}/designs/new`);
  await page.getByLabel("Title").fill(name);
  await page.getByRole("button", { name: "Start the design" }).click();
  await expect(page).toHaveURL(/\/designs\/\d+$/);
}

async function save(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText(/Saved as A\.\d+\./)).toBeVisible();
}

test("a ram and its parts are designed from nothing, on a phone", async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 740 });
  await signIn(page);
  await startDesign(page, "Goat trough");
  await page.getByLabel("Machine").selectOption("ram");
  await page.getByLabel("Height of delivery above the waste valve").fill("18");
  await expect(page.getByText(/of water lifted, using/).first()).toBeVisible();
  await expect(page.getByText(/A ram makes no energy/)).toBeVisible();
  await page.getByRole("button", { name: "Add a part" }).click();
  await page.getByLabel("What it is in the machine").selectOption("drive_pipe");
  await page.getByLabel("Line of the pipe catalogue").fill("en-iso-1452-2/s10-sdr21/d50-pn10");
  await page.getByLabel("How it is joined").selectOption("solvent");
  await page.getByRole("button", { name: "Add: The place and the people" }).click();
  await page.getByLabel("Hottest wall in use").fill("20");
  await page.getByLabel("Coldest wall in use").fill("6");
  await save(page);
  const build = page.getByRole("region", { name: "May it be built?" });
  await expect(build.getByRole("region", { name: "Drive pipe" })).toContainText("not allowed");
  await expect(build.getByRole("region", { name: "Drive pipe" })).toContainText("would tire it until it breaks");
  await build.getByRole("button", { name: "Put it into the sheet" }).first().click();
  await expect(build.getByRole("region", { name: "Drive pipe" }).getByText("not allowed")).toHaveCount(0);
  await save(page);
  await page.reload();
  await expect(page.getByLabel("Height of delivery above the waste valve")).toHaveValue("18");
  await expectFit(page);
});

test("from a bucket at the stream to a diffuser, and a booster whose level of evidence is said loudly", async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 740 });
  await signIn(page);
  await startDesign(page, "Trout pond");
  await page.getByLabel("Kind of source").selectOption("stream");
  await page.getByRole("button", { name: "Add: Flow by the bucket" }).click();
  await page.getByLabel("The bucket holds").fill("10");
  await page.getByLabel("Seconds to fill it, each time").fill("4.1 4.3 4.0");
  await page.getByRole("button", { name: "Add: Air line" }).click();
  await page.getByLabel("Air line, inside").last().fill("13 mm");
  await page.getByLabel("Air line, length").last().fill("15");
  await page.getByRole("button", { name: "Add a use" }).click();
  await page.getByLabel("What it is", { exact: true }).selectOption("aeration");
  await page.getByLabel(/^Depth/).last().fill("0.5");
  await save(page);
  const steps = page.getByRole("region", { name: "Step by step" });
  await expect(steps.getByRole("region", { name: "Flow by the bucket" })).toContainText("145\u202FL/min"); // 10 L in 4.133 s
  await expect(steps.getByRole("region", { name: "Diffuser" })).toBeVisible();
  await steps.getByRole("region", { name: "Flow by the bucket" }).getByText("145\u202FL/min").click();
  await expect(steps.getByText("Equation").first()).toBeVisible();

  await page.getByLabel("Machine").selectOption("pulse");
  await expect(page.getByText("Nobody has measured this.")).toBeVisible();
  await save(page);
  await expectFit(page);
});
