import { expect, test, type Browser, type Page } from "@playwright/test";
import { mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expectFit, expectHandSized, openProject, petra, signIn } from "./support";

/**
 * A project taken along as one file and brought in again: on the same server, since
 * what a group signed gives no right to another one, not even where both are one.
 * With LEAT_PICTURES set to a folder, pictures of the pages are put there.
 */
const ines = "Ines Calloway";
const group = "Thornwick Wheelhouse";
const rig = "Bench rig";
const password = "falling-water-works";
const pictures = process.env["LEAT_PICTURES"];
test.slow(); // it looks at several pages on both grounds

async function as(browser: Browser, name: string): Promise<Page> {
  const page = await (await browser.newContext({ viewport: { width: 360, height: 740 } })).newPage();
  await signIn(page, name);
  return page;
}

/** look checks a page on both grounds and widths, and keeps pictures of it. */
async function look(page: Page, name: string) {
  await expectHandSized(page);
  await expectFit(page);
  if (!pictures) {
    return;
  }
  mkdirSync(pictures, { recursive: true });
  const size = page.viewportSize();
  for (const width of [360, 1280]) {
    for (const colorScheme of ["light", "dark"] as const) {
      await page.setViewportSize({ width, height: 800 });
      await page.emulateMedia({ colorScheme });
      await page.screenshot({ path: join(pictures, `${name}-${width}-${colorScheme}.png`), fullPage: true });
    }
  }
  await page.setViewportSize(size ?? { width: 360, height: 740 });
}

/** take downloads what the page is about, and answers where the file is. */
async function take(page: Page): Promise<string> {
  const [file] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Download it" }).click()]);
  expect(file.suggestedFilename()).toMatch(/\.zip$/);
  await expect(page.getByText("It is here: ")).toBeVisible();
  return file.path();
}

/** loseNextAnswer lets the next file go out, and its answer end as if the line was cut. */
async function loseNextAnswer(page: Page) {
  await page.evaluate(() => {
    const real = Object.getOwnPropertyDescriptor(XMLHttpRequest.prototype, "send");
    XMLHttpRequest.prototype.send = function (this: XMLHttpRequest, body) {
      Object.defineProperty(XMLHttpRequest.prototype, "send", real ?? {});
      this.onload = this.onerror;
      this.send(body);
    };
  });
}

const isZip = (path: string) => readFileSync(path).subarray(0, 4).toString("latin1") === "PK\x03\x04"; // a local file header, APPNOTE.TXT 4.3.7

test("a machine and a run are taken along from their pages", async ({ browser }) => {
  const member = await as(browser, petra);
  await openProject(member, rig);
  await member.getByRole("link", { name: "Rig of the school" }).first().click();
  expect(isZip(await take(member))).toBe(true);
  await look(member, "take-machine");
  await member.getByRole("link", { name: "Its runs" }).click();
  const run = member.locator('main a[href*="/runs/"]').first();
  await expect(run).toBeVisible();
  await run.click();
  expect(isZip(await take(member))).toBe(true);
  await look(member, "take-run");
});

test("a project is taken along by a member, and brought in by a keeper, without its rights", async ({ browser }) => {
  const member = await as(browser, petra);
  await openProject(member, rig);
  const project = new URL(member.url()).pathname;
  await member.route("**/export", (r) => r.abort());
  await member.getByRole("button", { name: "Download it" }).click();
  await expect(member.getByRole("alert")).toContainText("did not arrive whole");
  await look(member, "take-failed");
  await member.unroute("**/export");
  const file = await take(member);
  expect(isZip(file)).toBe(true);
  await look(member, "take-here");
  await member.goto("/projects/import");
  await expect(member.getByText("Only a keeper of the group may.")).toBeVisible();

  const keeper = await as(browser, ines);
  await keeper.getByRole("link", { name: "Bring in one of another group" }).click();
  await keeper.getByRole("button", { name: "Bring it in" }).click();
  await expect(keeper.getByRole("link", { name: "Choose the file." })).toBeVisible();
  await expect(keeper.getByRole("link", { name: "Type your password." })).toBeVisible();
  await look(keeper, "import-faults");

  await keeper.getByLabel("File").setInputFiles({ name: "cut-off.zip", mimeType: "application/zip", buffer: readFileSync(file).subarray(0, 1000) });
  await keeper.getByLabel(/^Password of /).fill("not this one");
  await keeper.getByRole("button", { name: "Bring it in" }).click();
  await expect(keeper.getByRole("link", { name: /This is not the password/ })).toBeVisible();
  await keeper.getByLabel(/^Password of /).fill(password);
  await keeper.getByRole("button", { name: "Bring it in" }).click();
  await expect(keeper.getByRole("alert")).toContainText("This is no zip file, or not all of one");
  await look(keeper, "import-refused");

  // The answer of the first try is lost on the way: the second one makes nothing twice.
  await keeper.getByLabel("File").setInputFiles(file);
  await loseNextAnswer(keeper);
  const [first] = await Promise.all([keeper.waitForResponse("**/projects/import"), keeper.getByRole("button", { name: "Bring it in" }).click()]);
  expect(first.status()).toBe(201);
  await expect(keeper.getByRole("alert")).toContainText("it is brought in once");
  const [second] = await Promise.all([keeper.waitForResponse("**/projects/import"), keeper.getByRole("button", { name: "Bring it in" }).click()]);
  expect(second.status()).toBe(200);
  await expect(keeper.getByRole("link", { name: /^Open “/ })).toBeVisible();
  await look(keeper, "import-done");
  await keeper.getByRole("link", { name: /^Open “/ }).click();
  await expect(keeper.getByRole("heading", { name: `Brought in from ${group}` })).toBeVisible();
  const here = new URL(keeper.url()).pathname;
  expect(`/api/v1${here}`).toBe(first.headers()["location"]);
  expect(here).not.toBe(project);
  await expect(keeper.getByText("What was signed there gives no right here.")).toBeVisible();
  await expect(keeper.getByText(`brought in by ${ines} on`)).toBeVisible();
  await expect(keeper.getByText("Nobody of this group is on the crew.")).toBeVisible();
  await look(keeper, "brought-in");

  // The certificate that came with it says why it does not count.
  await keeper.getByRole("link", { name: "Rig of the school" }).first().click();
  await expect(keeper.getByText("it has to be tested and certified here").first()).toBeVisible();

  // The very same file again: the way to what is here, or a second one on purpose.
  await keeper.goto("/projects/import");
  await keeper.getByLabel("File").setInputFiles(file);
  await keeper.getByLabel(/^Password of /).fill(password);
  await keeper.getByRole("button", { name: "Bring it in" }).click();
  await expect(keeper.getByRole("link", { name: "Open the project that is here already" })).toHaveAttribute("href", here);
  await look(keeper, "import-again");
  await keeper.getByLabel("Bring it in a second time").check();
  await keeper.getByRole("button", { name: "Bring it in" }).click();
  await expect(keeper.getByRole("link", { name: /^Open “/ })).not.toHaveAttribute("href", here);
});
