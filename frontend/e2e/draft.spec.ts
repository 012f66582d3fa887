import { expect, test } from "@playwright/test";
import { expectFit, expectHandSized, petra, signIn, startProject, title, tomasz } from "./support";
import { drawnPlain } from "./tested";

test("a gauging, a next sheet of the draft and two sheets side by side", async ({ page, context }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await signIn(page);
  const project = await startProject(page, title("Gauged again"));
  await page.goto(`${project}/site`);
  await page.getByLabel("Stream over a weir").check();
  await page.getByLabel("Fall").fill("2.6");
  await page.getByLabel("Flow", { exact: true }).fill("3.4");
  await page.getByRole("button", { name: "Save the site" }).click();
  await expect(page.getByRole("heading", { name: "Site", level: 2 })).toBeVisible();
  await page.goto(`${project}/designs/new`);
  await page.getByLabel("Title").fill("Long riser");
  await page.getByRole("button", { name: "Start the design" }).click();
  await expect(page).toHaveURL(/\/designs\/\d+$/);
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.1.")).toBeVisible();
  const design = new URL(page.url()).pathname;

  // The stream is gauged again, half of it without signal.
  await page.goto(`${project}/site`);
  await page.getByRole("link", { name: "Record a new gauging" }).click();
  await page.getByLabel("Flow", { exact: true }).fill("2,9");
  await page.getByLabel(/^Give or take/).fill("0.2");
  await expectHandSized(page);
  await expectFit(page);
  await context.setOffline(true);
  await page.getByRole("button", { name: "Record the gauging" }).click();
  await expect(page.getByRole("alert")).toContainText("No connection");
  await context.setOffline(false);
  await page.reload();
  await expect(page.getByLabel("Flow", { exact: true })).toHaveValue("2,9");
  await page.getByRole("button", { name: "Record the gauging" }).click();
  await expect(page.getByRole("region", { name: "Gaugings of the flow" }).getByRole("listitem")).toHaveCount(2);
  await expectFit(page);

  await page.goto(design);
  await expect(page.getByText("The flow was gauged again.")).toBeVisible();
  await page.getByRole("button", { name: "Take the new flow" }).click();
  await expect(page.getByLabel("All the water there is", { exact: true })).toHaveValue("174"); // 2.9 L/s of 60 s
  await expect(page.getByRole("button", { name: /next letter/ })).toHaveCount(0); // a draft goes to its check and nowhere else
  await expect(page.getByText("Saving makes the next sheet of letter A; issuing freezes the letter.")).toBeVisible();
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.2.")).toBeVisible();
  await expect(page.getByText("The flow was gauged again.")).toHaveCount(0);

  await page.goto(`${design}/A.1`);
  await expect(page.getByRole("button", { name: /next letter/ })).toHaveCount(0);
  await page.getByRole("link", { name: "Compare with A.2" }).click();
  const changed = page.getByRole("region", { name: "Inputs that differ" }).getByRole("row", { name: /All the water there is/ });
  await expect(changed).toContainText("204");
  await expect(changed).toContainText("174");
  await expect(page.getByRole("figure")).toHaveCount(2);
  await expectHandSized(page);
  await expectFit(page);
});

test("what is typed under a letter that was taken back goes on under the next one", async ({ page, baseURL }) => {
  const { project, design } = await drawnPlain(baseURL);
  const path = `${project}/designs/${design}`;
  await page.setViewportSize({ width: 390, height: 844 });
  await signIn(page);
  await page.goto(path);
  await page.getByRole("button", { name: "Issue for check" }).click();
  await expect(page.getByRole("dialog")).toContainText("Letter A is frozen with it.");
  await page.getByRole("dialog").getByRole("button", { name: "Issue A.1" }).click();
  await expect(page).toHaveURL(/\/check\/A$/);
  await page.goto(path);
  await expect(page.getByRole("button", { name: /next letter/ })).toHaveCount(0); // it is in check
  await page.getByRole("button", { name: "Take it back" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Take it back" }).click();
  await expect(page.getByText(`${petra} took letter A back`)).toBeVisible();

  const outlet = page.getByRole("textbox", { name: "Level at which the water leaves", exact: true });
  await outlet.fill("1.12 m");
  await page.getByRole("button", { name: "Start the next letter" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Start the next letter" }).click();
  await expect(page.getByText("Letter B is started.")).toBeVisible();
  await expect(outlet).toHaveValue("1.12 m"); // typed under A, goes on under B
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as B.2.")).toBeVisible();

  await page.goto(`${path}/A.1`);
  await page.getByRole("link", { name: "Compare with B.2" }).click();
  await expect(page.getByRole("region", { name: "Inputs that differ" }).getByRole("row", { name: /Level at which the water leaves/ })).toContainText("1.12");
  await expectHandSized(page);
  await expectFit(page);
});

test("who is not on the crew may try figures and read every sheet, and is told that nothing is saved", async ({ page }) => {
  await signIn(page, tomasz);
  await page.getByRole("link", { name: /^Nursery pond air/ }).click();
  await page.locator(".designs a.open").first().click();
  await expect(page.locator(".sheet-top .warn")).toContainText(`only the crew of the project can (${petra}`);
  await expect(page.getByRole("button", { name: "Save the sheet" })).toHaveCount(0);
  await page.goto(`${page.url()}/A.1`);
  await expect(page.getByRole("link", { name: "To the newest sheet" })).toBeVisible();
  await expect(page.getByRole("button", { name: /next letter/ })).toHaveCount(0);
  await expectFit(page);
});
