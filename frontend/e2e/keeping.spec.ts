import { expect, test, type Browser, type Page } from "@playwright/test";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { expectFit, expectHandSized, petra, signIn, title } from "./support";

/**
 * What the group keeps: safety settings and versions of the test procedure that
 * two people sign, the register of instruments, signing codes, the record. With
 * LEAT_PICTURES set to a folder, pictures of the pages are put there.
 */
const [ines, bram] = ["Ines Calloway", "Bram Oduya"];
const password = "falling-water-works";
const pictures = process.env["LEAT_PICTURES"];
test.slow(); // each looks at several pages on both grounds

/** as opens a page for somebody, on a phone. */
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

/** sign gives the password under a proposal. */
async function sign(page: Page, within: string) {
  const box = page.getByRole(within === "" ? "main" : "article", within === "" ? {} : { name: within });
  await box.getByLabel(/^Password of /).fill(password);
  await box.getByRole("button", { name: "Sign" }).click();
}

test("safety settings take effect when a steward and a second member have signed", async ({ browser }) => {
  const keeper = await as(browser, ines);
  await keeper.getByRole("link", { name: "Group", exact: true }).click();
  await keeper.getByRole("link", { name: "Safety settings" }).click();
  await expect(keeper.getByRole("heading", { name: "In force" })).toBeVisible();
  await look(keeper, "safety");
  await keeper.getByRole("link", { name: "Propose other settings" }).click();
  await keeper.getByLabel("From gas, at least").fill("8 m");
  await keeper.getByRole("button", { name: "Propose it" }).click();
  await expect(keeper.getByRole("link", { name: /This may be set from 10 to 1000 m/ })).toBeVisible();
  await expect(keeper.getByRole("link", { name: /Say why/ })).toBeVisible();
  await look(keeper, "safety-propose");

  const hold = String(31 + Math.floor(Math.random() * 900)); // another one in each run
  const why = title("The school rig");
  await keeper.getByLabel("From gas, at least").fill("30 m");
  await keeper.getByLabel("Hold of metal").fill(hold);
  await keeper.getByLabel("Why").fill(why);
  await keeper.reload();
  await expect(keeper.getByLabel("Why")).toHaveValue(why); // a reload loses nothing
  await keeper.getByRole("button", { name: "Propose it" }).click();
  const proposal = keeper.getByRole("article").filter({ hasText: why });
  await expect(proposal).toContainText("waits for signatures");
  const name = (await proposal.getAttribute("aria-label")) ?? "";

  const member = await as(browser, petra);
  await member.goto("/group/safety");
  await expect(member.getByRole("link", { name: "Propose other settings" })).toHaveCount(0);
  const shown = member.getByRole("article", { name });
  await shown.getByLabel(/^Password of /).fill("not this one");
  await shown.getByRole("button", { name: "Sign" }).click();
  await expect(shown).toContainText("This is not the password of Petra Lindahl");
  await look(member, "safety-waiting");
  await sign(member, name);
  await expect(shown).toContainText("Petra Lindahl as second member");
  await expect(shown.getByRole("button", { name: "Sign" })).toHaveCount(0); // one person, one signature
  await expect(shown).toContainText("waits for signatures");

  const steward = await as(browser, bram);
  await steward.goto("/group/safety");
  await sign(steward, name);
  await expect(steward.getByRole("article", { name })).toContainText("in force");
  await member.reload();
  await expect(member.getByRole("row", { name: new RegExp(`Hold of metal.*${hold}`) }).first()).toBeVisible();
  await look(member, "safety-signed");
});

test("what was signed stands in the record with its link", async ({ browser }) => {
  const steward = await as(browser, bram);
  await steward.goto("/group/safety");
  const keeper = await as(browser, ines);
  await keeper.goto("/group/safety/propose");
  await keeper.getByLabel("Cement cures, at least").fill(String(25 + Math.floor(Math.random() * 600)));
  await keeper.getByLabel("Why").fill("Cold sheds.");
  await keeper.getByRole("button", { name: "Propose it" }).click();
  await expect(keeper.getByText("waits for signatures").first()).toBeVisible();
  await steward.reload();
  await sign(steward, (await steward.getByRole("article").first().getAttribute("aria-label")) ?? "");
  await expect(steward.getByText("Bram Oduya as steward").first()).toBeVisible();
  const member = await as(browser, petra);
  await member.goto("/group/record");
  await expect(member.getByRole("row", { name: /Bram Oduya.*Safety settings signed/ }).first()).toBeVisible();
  await member.getByRole("row", { name: /Bram Oduya.*Safety settings signed/ }).first().locator("summary").click();
  await expect(member.getByText("Digest of what was signed").first()).toBeVisible();
  await look(member, "record");
});

test("a newer procedure may ask for more, never for less, and two sign it", async ({ browser }) => {
  const keeper = await as(browser, ines);
  await keeper.goto("/group/procedure/1");
  await expect(keeper.getByRole("heading", { name: /^B01 / })).toBeVisible();
  await look(keeper, "procedure-version");
  const download = keeper.waitForEvent("download");
  await keeper.getByRole("button", { name: "Its text as a file" }).click();
  const file = await (await download).path();
  const first = await import("node:fs").then((fs) => fs.readFileSync(file, "utf8"));

  await keeper.goto("/group/procedure/propose");
  const next = Number((await keeper.getByText(/"version": \d+/).textContent())?.match(/\d+/)?.[0]);
  const text = first.replace('"version": 1', `"version": ${next}`);
  await keeper.getByLabel("Text").fill(text.replace('"point": "hold"', '"point": "review"'));
  await keeper.getByLabel("Why").fill("Faster.");
  await keeper.getByRole("button", { name: "Propose it" }).click();
  await expect(keeper.getByRole("alert")).toContainText("B01");
  await look(keeper, "procedure-propose");
  await keeper.getByLabel("Text").fill(text);
  await keeper.getByRole("button", { name: "Propose it" }).click();
  await expect(keeper.getByRole("heading", { name: `Test procedure, version ${next}` })).toBeVisible();
  await sign(keeper, "");
  await expect(keeper.getByText("Ines Calloway as second member")).toBeVisible();

  const steward = await as(browser, bram);
  await steward.goto(`/group/procedure/${next}`);
  await sign(steward, "");
  await expect(steward.getByText("in force", { exact: true })).toBeVisible();
  await steward.goto("/group/procedure");
  await expect(steward.getByRole("row", { name: new RegExp(`Version ${next}.*in force`) })).toBeVisible();
  await look(steward, "procedure");
});

test("an instrument is added, calibrated, found wrong and retired, each once on a weak connection", async ({ browser }) => {
  const keeper = await as(browser, ines);
  const name = title("Test gauge");
  await keeper.goto("/group/instruments/new");
  await keeper.getByRole("button", { name: "Add it" }).click();
  await expect(keeper.getByRole("link", { name: "Range to: type a number." })).toBeVisible();
  await look(keeper, "instrument-new");
  await keeper.getByLabel("Name").fill(name);
  await keeper.getByLabel("Range to").fill("6 bar");
  await keeper.getByLabel("Accuracy class").fill("1.6");
  await keeper.getByLabel("Calibrated on").fill("2024-03-01");
  await keeper.getByLabel("By whom, against what").fill("Deadweight tester of the college");
  await keeper.getByRole("button", { name: "Add it" }).click();
  await expect(keeper.getByRole("heading", { name, level: 1 })).toBeVisible();
  await expect(keeper.getByText("overdue", { exact: true })).toBeVisible();

  // The answer to the calibration is lost on the way; the second try is the same one.
  await keeper.locator("summary", { hasText: "Calibrated" }).click();
  await keeper.route("**/calibrations", async (route) => {
    await route.fetch();
    await route.abort();
  });
  await keeper.getByRole("form", { name: "Calibrated" }).getByLabel("By whom, against what").fill("Water column, 5 m");
  await keeper.getByRole("button", { name: "Enter the calibration" }).click();
  await expect(keeper.getByRole("alert")).toContainText("No connection");
  await keeper.unroute("**/calibrations");
  await keeper.getByRole("button", { name: "Enter the calibration" }).click();
  await expect(keeper.getByText("calibrated", { exact: true })).toBeVisible();
  await expect(keeper.getByText("Water column, 5 m")).toHaveCount(1);
  await keeper.locator("summary", { hasText: "Calibrated" }).click();
  await expect(keeper.getByRole("form", { name: "Calibrated" }).getByLabel("By whom, against what")).toHaveValue(""); // the next one is another
  await look(keeper, "instrument");

  await keeper.locator("summary", { hasText: "Found wrong" }).click();
  await keeper.getByLabel("What was found").fill("0.2 bar high");
  await keeper.getByRole("button", { name: "Enter that it is wrong" }).click();
  await expect(keeper.getByText("It was found wrong and not calibrated since.", { exact: false })).toBeVisible();
  await look(keeper, "instrument-wrong");

  const member = await as(browser, petra);
  await member.goto("/group/instruments");
  await expect(member.getByRole("row", { name: new RegExp(`${name}.*found wrong`) })).toBeVisible();
  await look(member, "instruments");
  await member.getByRole("link", { name }).click();
  await expect(member.getByText("0.2 bar high")).toBeVisible();
  await expect(member.getByRole("heading", { name: "Enter something about it" })).toHaveCount(0);

  await keeper.locator("summary", { hasText: "Retire it" }).click();
  await keeper.getByLabel("Why").fill("Tube bent");
  await keeper.getByRole("button", { name: "Retire it" }).click();
  await expect(keeper.getByText("retired", { exact: true })).toBeVisible();
  await expect(keeper.getByRole("link", { name: "Correct it" })).toHaveCount(0);
});

test("of two keepers at one instrument none overwrites the other", async ({ browser }) => {
  const keeper = await as(browser, ines);
  const name = title("Bucket");
  await keeper.goto("/group/instruments/new");
  await keeper.getByLabel("Name").fill(name);
  await keeper.getByLabel("What it is").selectOption("measuring_vessel");
  await keeper.getByLabel("Range to").fill("10 L");
  await keeper.getByRole("button", { name: "Add it" }).click();
  await expect(keeper.getByText("never calibrated")).toBeVisible();
  await keeper.getByRole("link", { name: "Correct it" }).click();
  await keeper.getByLabel("Serial number or mark").fill("blue");
  const other = await as(browser, ines);
  await other.goto(new URL(keeper.url()).pathname);
  await other.getByRole("textbox", { name: /^Note/ }).fill("Marked at 9.8 L");
  await other.getByRole("button", { name: "Save it" }).click();
  await expect(other.getByText("Marked at 9.8 L")).toBeVisible();
  await keeper.getByRole("button", { name: "Save it" }).click();
  await expect(keeper.getByRole("alert")).toContainText("saved first");
  await keeper.getByRole("button", { name: "Save it" }).click();
  await expect(keeper.getByText("blue")).toBeVisible();
  await expect(keeper.getByText("Marked at 9.8 L")).toBeVisible();
});

test("a signing code takes the password, and no code that others would try first", async ({ browser }) => {
  const page = await as(browser, bram);
  await page.goto("/you");
  const form = page.getByRole("form", { name: "Signing code" });
  await form.getByLabel(/^(New code|Code)$/).fill("123456");
  await form.getByLabel("Your password").fill(password);
  await form.getByRole("button", { name: /the code$/ }).click();
  await expect(form.getByRole("alert")).toContainText("one of the first that others would try");
  await form.getByLabel(/^(New code|Code)$/).fill("482913");
  await form.getByRole("button", { name: /the code$/ }).click();
  await expect(form.getByText("Set. It counts from now on.")).toBeVisible();
  await expect(form.getByRole("button", { name: "Replace the code" })).toBeVisible();
  await look(page, "you");
  await page.reload();
  await expect(page.getByText("You have one; a new one takes its place.", { exact: false })).toBeVisible();
  await page.goto("/group");
  await expect(page.getByRole("link", { name: "Instruments" })).toBeVisible();
  await look(page, "group");
});
