import { expect, test } from "@playwright/test";
import { expectFit, expectHandSized, signIn, startProject, title, tomasz } from "./support";

test("from nothing to a described site and a design, on a phone", async ({ page }) => {
  await page.setViewportSize({ width: 360, height: 740 });
  await signIn(page);
  await page.getByRole("link", { name: /^Start (a|the first) project$/ }).click();
  const name = title("Mill race air");
  await page.getByLabel("Title").fill(name);
  await page.getByLabel("What it is for").fill("Air for the trout tank when the power is out.");
  await page.getByRole("button", { name: "Start the project" }).click();
  await expect(page.getByRole("heading", { name, level: 1 })).toBeFocused();
  await expect(page.getByText("Nobody has said yet")).toBeVisible();
  for (const level of ["Site", "Design", "Check", "Build", "Test", "Results"]) {
    await expect(page.getByRole("heading", { name: level, level: 2 })).toBeVisible();
  }
  await expectFit(page);

  await page.getByRole("link", { name: "Describe the site" }).click();
  await page.getByLabel("Name of the place").fill("Upper sluice");
  await page.getByLabel("Stream over a weir").check();
  await expect(page.getByText("Drowning")).toBeVisible();
  await page.getByLabel("Fall").fill("2,6");
  await expect(page.getByText("Understood: 2.6")).toBeVisible();
  await page.getByLabel("Unit of: Flow").selectOption("L/min");
  await page.getByLabel("Flow", { exact: true }).fill("144");
  await expect(page.getByText("2.4\u202FL/s")).toBeVisible();
  await page.getByLabel("Water temperature").fill("50 °F");
  await expectHandSized(page);
  await expectFit(page);
  await page.getByRole("button", { name: "Save the site" }).click();
  await expect(page.getByText("A stream over a weir at Upper sluice: 2.60\u202Fm of fall, 144\u202FL/min, water at 10\u202F°C.")).toBeVisible();

  await page.getByRole("link", { name: "Start a design" }).click();
  await page.getByLabel("Title").fill("Short riser");
  await page.getByRole("button", { name: "Start the design" }).click();
  await expect(page).toHaveURL(/\/designs\/\d+$/);
  await page.goBack();
});

test("an empty register shows what will stand there and the one step", async ({ page }) => {
  await page.route("**/api/v1/projects?*", (r) => r.fulfill({ json: { items: [], next: null } }));
  await signIn(page);
  await expect(page.getByRole("heading", { name: "Nothing is drawn yet" })).toBeVisible();
  await expect(page.getByRole("link", { name: "Start the first project" })).toBeVisible();
});

test("the register says when it can't be fetched", async ({ page }) => {
  await signIn(page);
  await page.route("**/api/v1/projects?*", (r) => r.abort());
  await page.reload();
  await expect(page.getByText("No connection to the notebook.")).toBeVisible();
  await page.unroute("**/api/v1/projects?*");
  await page.getByRole("button", { name: "Try again" }).click();
  await expect(page.getByRole("link", { name: "Start a project" })).toBeVisible();
});

test("what is wrong is said at its field and in the summary, and nothing typed is lost", async ({ page }) => {
  await signIn(page);
  const path = await startProject(page, title("Faulty figures"));
  await page.goto(`${path}/site`);
  await page.getByLabel("Fall").fill("2.600,5");
  await page.getByLabel("Air temperature").fill("400");
  await page.getByRole("button", { name: "Save the site" }).click();
  await expect(page.getByRole("alert")).toBeFocused();
  await page.getByRole("link", { name: /Air temperature: 400/ }).click();
  await expect(page.getByLabel("Air temperature")).toBeFocused();
  await expect(page.getByLabel("Fall")).toHaveValue("2.600,5");
  await expectFit(page);
});

test("the server's own faults come to their fields too", async ({ page }) => {
  await signIn(page);
  await page.goto("/projects/new");
  const long = "x".repeat(121);
  await page.getByLabel("Title").fill(long);
  await page.getByRole("button", { name: "Start the project" }).click();
  await expect(page.getByRole("alert")).toBeFocused();
  await page.getByRole("alert").getByRole("link").click();
  await expect(page.getByLabel("Title")).toBeFocused();
  await expect(page.getByLabel("Title")).toHaveValue(long);
});

test("pages that are not there say so", async ({ page }) => {
  await signIn(page);
  await page.goto("/projects/999999999");
  await expect(page.getByRole("alert")).toBeVisible();
  await expectFit(page);
  await page.goto("/projects/none/site");
  await expect(page.getByRole("heading", { name: "There is no page here" })).toBeVisible();
});

test("who is not on the crew reads everything and is offered nothing to change", async ({ page }) => {
  await signIn(page);
  const path = await startProject(page, title("Petra’s own"));
  await page.getByRole("button", { name: "Petra Lindahl" }).click();
  await page.getByRole("button", { name: "Sign out" }).click();
  await signIn(page, tomasz);
  await page.goto(path);
  await expect(page.getByText("Only its crew can change it")).toBeVisible();
  await expect(page.getByRole("link", { name: /Describe|Change|Start a design/ })).toHaveCount(0);
});

test("a project can be renamed, closed and reopened", async ({ page }) => {
  await signIn(page);
  await startProject(page, title("To be closed"));
  await page.getByRole("link", { name: /Change title or purpose/ }).click();
  const renamed = title("Closed for winter");
  await page.getByLabel("Title").fill(renamed);
  await page.getByRole("button", { name: "Save" }).click();
  await expect(page.getByRole("heading", { name: renamed, level: 1 })).toBeVisible();
  await page.getByRole("link", { name: /Change title or purpose/ }).click();
  await page.getByRole("button", { name: "Close the project" }).click();
  await expect(page.getByRole("heading", { name: renamed, level: 1 })).toBeVisible();
  await expect(page.getByRole("link", { name: "Describe the site" })).toHaveCount(0);
  await page.getByRole("link", { name: /reopen/ }).click();
  await page.getByRole("button", { name: "Reopen the project" }).click();
  await expect(page.getByRole("link", { name: "Describe the site" })).toBeVisible();
});
