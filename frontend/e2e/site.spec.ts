import { expect, test } from "@playwright/test";
import { expectFit, expectHandSized, openProject, signIn, title } from "./support";

test.use({ viewport: { width: 390, height: 780 }, hasTouch: true });

test("a site is asked what it can give, and a proposal becomes a draft", async ({ page }) => {
  await signIn(page);
  await openProject(page, "Sawpit");
  await page.getByRole("link", { name: "What can this site give?" }).click();
  await expect(page.getByRole("heading", { name: "What can my site give?", level: 1 })).toBeVisible();
  await expect(page.getByLabel("Fall", { exact: true })).not.toHaveValue("");

  // A deep hole makes a large search: there is time to see how far it is, and to cancel it.
  await page.getByLabel("Depth that can be dug").fill("6");
  await page.getByRole("button", { name: "Look for machines" }).click();
  await expect(page.getByRole("progressbar")).toBeVisible();
  await expect(page.getByText("machines tried")).toBeVisible();
  await page.getByRole("button", { name: "Cancel the search" }).click();
  await expect(page.getByRole("progressbar")).toHaveCount(0);

  // A runnel has few machines. What was typed before still stands.
  await expect(page.getByLabel("Depth that can be dug")).toHaveValue("6");
  await page.getByLabel("Depth that can be dug").fill("");
  await page.getByLabel("Flow", { exact: true }).fill("24 L/min");
  await page.getByLabel("Fall", { exact: true }).fill("1.2 m");
  await page.getByRole("button", { name: "Look for machines" }).click();
  const proposals = page.getByRole("region", { name: "What the site can give" });
  await expect(proposals.locator("ol > li").first().locator(".thin-drawing svg")).toBeVisible();
  await expect(proposals.getByText("The most air of all")).toBeVisible();
  await page.reload();
  await expect(proposals.getByText("The most air of all")).toBeVisible();
  await expectHandSized(page);
  await expectFit(page);

  await page.getByRole("button", { name: "Start a draft from machine 1" }).click();
  const name = title("Runnel");
  const place = page.getByLabel("Where is it to stand?");
  await expect(place).toBeFocused();
  await place.selectOption({ label: "In a new project" });
  await page.getByLabel("Title of the project").fill(name);
  await page.getByLabel("Title of the design").fill("From the search");
  await page.getByRole("button", { name: "Make the draft" }).click();
  await expect(page.locator(".sheet-drawing svg").first()).toBeVisible();
  await expect(page.getByRole("link", { name })).toBeVisible();
});

test("drizzle is told why it gives nothing, and a search that is gone how to go on", async ({ page }) => {
  await signIn(page);
  await page.goto("/site");
  await page.getByRole("button", { name: "Look for machines" }).click();
  await expect(page.getByRole("link", { name: "Say how much water you may take." })).toBeVisible();
  await page.getByLabel("Flow", { exact: true }).fill("0.5 L/min");
  await page.getByLabel("Fall", { exact: true }).fill("3");
  await page.getByRole("button", { name: "Look for machines" }).click();
  await expect(page.getByText("too little to drag air down")).toBeVisible();
  await page.goto("/site?search=none");
  await expect(page.getByText("This search is kept no longer")).toBeVisible();
  await expect(page.getByLabel("Flow", { exact: true })).toHaveValue("0.5 L/min");
});
