import { expect, test, type Page } from "@playwright/test";
import { axeFindings, petra, signIn, startProject, title } from "./support";

const answer = (page: Page) => page.locator(".sheet-drawing .gist");

async function newSheet(page: Page, name: string) {
  await page.setViewportSize({ width: 390, height: 844 });
  await signIn(page);
  const project = await startProject(page, title(name));
  await page.goto(`${project}/designs/new`);
  await page.getByRole("textbox").first().fill("First machine");
  await page.getByRole("main").getByRole("button").last().click();
  await expect(page.getByRole("group", { name: "Downcomer" })).toBeVisible();
}

test("a machine is typed in on a phone, predicted, saved and found again", async ({ page }) => {
  await newSheet(page, "Mill tail at Ashcombe");
  await expect(answer(page)).toContainText("of free air at");
  await page.getByLabel("Water level", { exact: true }).fill("1,9");
  await page.getByLabel("Level of the air tubes’ lower ends").fill("1.62 m");
  await page.getByLabel("Downcomer, inside").fill("3 in");
  await page.getByLabel("Air tube, inside").fill("10");
  await page.getByLabel("Air tube, outside").fill("12");
  await page.getByLabel("Number of air tubes").fill("26");
  await expect(answer(page)).toContainText("of free air at");
  await page.getByLabel(/What changed/).fill("wider pipe");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.1.")).toBeVisible();
  await page.reload();
  await expect(page.getByLabel("Number of air tubes")).toHaveValue("26");
  await expect(page.getByLabel("Downcomer, inside")).toHaveValue("76.2");
  await page.getByLabel("Number of air tubes").fill("24");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.2.")).toBeVisible();
  await page.getByRole("link", { name: "A.1", exact: true }).click();
  await expect(page.getByRole("heading", { name: "Sheet A.1", level: 1 })).toBeVisible();
  await expect(page.getByRole("article")).toContainText("As it was saved");
});

test("what cannot be a machine is said at its field, and nothing typed is lost", async ({ page }) => {
  await newSheet(page, "Slips of the finger");
  await page.getByLabel("Downcomer, inside").fill("-68");
  await expect(page.locator("#downcomer-bore_m-fault")).toContainText("above 0");
  await page.getByLabel("Downcomer, inside").fill("68");
  await page.getByLabel("Number of air tubes").fill("400");
  await expect(page.locator("#intake-n_tubes-fault")).toContainText("leave room for water");
  await page.getByLabel("Number of air tubes").fill("many");
  await page.getByLabel("Downcomer, inside").fill("-3");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByRole("alert")).toContainText("“many” is not a number");
  await expect(page.getByRole("alert")).toContainText("2 things need another look");
  await page.reload();
  await expect(page.getByLabel("Number of air tubes")).toHaveValue("many");
});

test("two editors of one sheet meet without loss", async ({ page, browser }) => {
  await newSheet(page, "Two at one sheet");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.1.")).toBeVisible();
  const other = await (await browser.newContext()).newPage();
  await signIn(other, petra);
  await other.goto(page.url());
  await other.getByLabel("Number of air tubes").fill("18");
  await other.getByLabel("Chamber, length", { exact: true }).fill("0.9");
  await other.getByRole("button", { name: "Save the sheet" }).click();
  await expect(other.getByText("Saved as A.2.")).toBeVisible();
  await page.getByRole("textbox", { name: "Air tube, length" }).fill("0.6");
  await page.getByLabel("Chamber, length", { exact: true }).fill("1.1");
  await page.reload(); // the draft still knows what it began with
  await page.getByRole("button", { name: "Save the sheet" }).click();
  const met = page.getByRole("alert", { name: /Saved by someone else/ });
  await expect(met).toContainText("Number of air tubes: 18");
  await expect(page.getByLabel("Number of air tubes")).toHaveValue("18");
  await expect(met.getByRole("row", { name: /Chamber, length/ })).toContainText("0.9");
  await expect(page.getByLabel("Chamber, length", { exact: true })).toHaveValue("1.1");
  await expect(page.getByRole("textbox", { name: "Air tube, length" })).toHaveValue("0.6");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.3.")).toBeVisible();
});

test("a saved sheet says how far its numbers may be off and where they come from", async ({ page }) => {
  await newSheet(page, "Looked into");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.1.")).toBeVisible();
  const answers = page.getByRole("region", { name: "What it will do" });
  await expect(answers.getByRole("heading", { name: "How far the numbers may be off" })).toBeVisible();
  await answers.locator("summary", { hasText: "Free air delivered" }).press("Enter");
  await expect(answers.getByText("carried up the riser and blown off")).toBeVisible();
  await answers.locator("summary", { hasText: "Pressure, air and speed down the pipe" }).press("Enter");
  await expect(answers.getByRole("img", { name: /^Share of air/ })).toBeVisible();
  expect(await axeFindings(page)).toEqual([]);
  expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
});

test("a save whose answer got lost counts as saved, and leaves no draft behind", async ({ page }) => {
  await newSheet(page, "Weak signal");
  await page.getByLabel("Number of air tubes").fill("19");
  await page.route("**/sheets", async (route) => {
    if (route.request().method() !== "POST") {
      return route.continue();
    }
    await route.fetch(); // the notebook keeps it, the answer never arrives
    return route.abort();
  });
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByRole("alert")).toContainText("No connection");
  await expect(page.getByLabel("Number of air tubes")).toHaveValue("19");
  await page.unroute("**/sheets");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.1.")).toBeVisible();
  await page.reload();
  await expect(page.getByLabel("Number of air tubes")).toHaveValue("19");
  await expect(page.getByText("Not sent yet.")).toHaveCount(0);
});

test("no connection while typing is said, and the answers come when it is back", async ({ page }) => {
  await newSheet(page, "Behind the hill");
  await expect(answer(page)).toContainText("of free air at");
  await page.route("**/api/v1/preview", (route) => route.abort());
  await page.getByLabel("Number of air tubes").fill("17");
  await expect(page.getByText("The answers here are for what stood in the sheet before.")).toBeVisible();
  await page.unroute("**/api/v1/preview");
  await page.getByRole("button", { name: "Try again" }).click();
  await expect(page.getByText("The answers here are for what stood in the sheet before.")).toHaveCount(0);
  await expect(page.getByLabel("Number of air tubes")).toHaveValue("17");
});

test("on paper stand the whole elevation and every input, whatever the screen was", async ({ page }) => {
  await newSheet(page, "For the wall of the shed");
  await expect(answer(page)).toContainText("of free air at");
  await page.emulateMedia({ media: "print" });
  const paper = page.locator(".on-paper");
  await expect(paper.getByText("Printed with changes that are not saved.")).toBeVisible();
  await expect(paper.locator(".drawing > svg").first()).toContainText("riser");
  await expect(paper.locator(".drawing > svg").first()).toContainText("downcomer");
  await expect(paper.getByText("downcomer: Downcomer, inside")).toBeVisible();
  await expect(page.getByRole("button", { name: "Save the sheet" })).toBeHidden();
  await page.emulateMedia({ media: "screen" });
  await expect(paper).toBeHidden();
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.1.")).toBeVisible();
  await page.emulateMedia({ media: "print" });
  await expect(paper.getByText("Printed with changes that are not saved.")).toHaveCount(0);
});

test("a part chosen in the drawing opens its inputs, and the inputs show their part", async ({ page }) => {
  await newSheet(page, "Pointing at it");
  await page.getByRole("button", { name: "Riser", exact: true }).focus();
  await page.keyboard.press("Enter");
  await expect(page.locator("#part-riser")).toHaveClass(/chosen/);
  await expect(page.locator("#part-riser")).toBeInViewport();
  await page.getByLabel("Chamber, length", { exact: true }).focus();
  await expect(page.getByRole("button", { name: "Chamber", exact: true })).toHaveAttribute("aria-pressed", "true");
});

test("a member who thinks in feet types a tolerance, and reads the machine in feet", async ({ page }) => {
  await page.route(/\/api\/v1\/session(\/refresh)?$/, async (route) => {
    const response = await route.fetch();
    const body = (await response.json()) as { member: object };
    await route.fulfill({ response, json: { ...body, member: { ...body.member, units: "us" } } });
  });
  await newSheet(page, "In feet and inches");
  await expect(answer(page)).toBeVisible();
  const bore = page.getByLabel("Downcomer, inside", { exact: true });
  await bore.fill("2 1/2 in ± 1/32");
  // 1 in = 25.4 mm by definition: 63.5 mm and 0.79375 mm.
  await expect(page.locator("#downcomer-bore_m-note")).toContainText("63.5\u202Fmm ± 0.794\u202Fmm");
  await bore.fill("15 psi");
  await expect(page.locator("#downcomer-bore_m-fault")).toContainText("“psi” is a unit of pressure; a unit of length is wanted here");
  await bore.fill("2.5");
  await page.getByRole("group", { name: "Downcomer" }).getByRole("button", { name: /Say how far/ }).click();
  await page.getByLabel("Downcomer, inside: off by at most").fill("1 mm");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await expect(page.getByText("Saved as A.1.")).toBeVisible();
  await expect(bore).toHaveValue("2.5");
  await expect(page.getByLabel("Downcomer, inside: off by at most")).toHaveValue("1 mm");
  await expect(page.locator(".sheet-drawing svg").first()).toContainText("ft");
});
