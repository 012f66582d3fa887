import { expect, test, type Page } from "@playwright/test";
import { expectFit, expectHandSized, petra, tomasz } from "./support";
import { bram, builtPlain, code, drawnPlain, enters, fills, photo, signs, wanda, type Built, type Item, type Sheet } from "./tested";

/** begun begins a test sheet past the pages, and answers where it is. */
async function begun(built: Built): Promise<string> {
  await built.crew.post(`${built.path}/tests`, { client_key: `test-of-${built.path.replace(/\D+/g, "-")}` });
  return `${built.path}/tests/1`;
}

const sheetOf = (built: Pick<Built, "crew">, path: string) => built.crew.get<Sheet>(path);
function itemOf(s: Sheet, id: string): Item {
  const item = s.items.find((i) => i.id === id);
  if (!item) {
    throw new Error(`The sheet has no item ${id}.`);
  }
  return item;
}
const nextOf = (s: Sheet) => s.items.find((i) => i.state === "open" || i.state === "signing");

/** says brings the machine to another state. */
async function says(page: Page, word: string, reason: string): Promise<void> {
  await page.getByRole("button", { name: word }).click();
  await page.getByLabel("Reason").fill(reason);
  await page.getByRole("button", { name: word }).click();
  await expect(page.getByText(`“${reason}”`).first()).toBeVisible();
}

test("four people take a machine from its draft to the certificate on their phones, cut off in the middle of the test", async ({ browser, baseURL }) => {
  test.setTimeout(300_000);
  const built = await drawnPlain(baseURL);
  const builder = await enters(browser, petra);
  const checker = await enters(browser, tomasz);
  const second = await enters(browser, wanda);
  const steward = await enters(browser, bram);

  // Her design is frozen and goes to a checker, who clears it.
  await builder.page.goto(`${built.project}/designs/${built.design}`);
  await builder.page.getByRole("button", { name: "Issue for check" }).click();
  await builder.page.getByRole("dialog").getByRole("button", { name: "Issue A.1" }).click();
  await expect(builder.page.getByText("One checker must say clear; none has yet.")).toBeVisible();
  await checker.page.goto(`${built.project}/designs/${built.design}/check/A`);
  await checker.page.getByLabel(/^Clear:/).check();
  await checker.page.getByLabel(/^Password of/).fill(built.crew.password);
  await checker.page.getByRole("button", { name: "Sign: clear" }).click();
  await expect(checker.page.getByText("You said clear, and it is signed.")).toBeVisible();

  // She builds it.
  await builder.page.goto(built.project);
  await builder.page.getByRole("link", { name: "Start a build" }).click();
  await builder.page.getByLabel("Name of the machine").fill("Bench trompe");
  await builder.page.getByLabel("Where it stands").fill("The shed");
  await builder.page.getByRole("button", { name: "Start the build" }).click();
  await expect(builder.page.getByRole("heading", { name: "Bench trompe", level: 1 })).toBeVisible();
  const machine = new URL(builder.page.url()).pathname;
  await says(builder.page, "It is built", "Everything is in its place.");

  await builder.page.goto(`${machine}/tests`);
  await expect(builder.page.getByText("A plain machine has the short list")).toBeVisible();
  await expectHandSized(builder.page);
  await expectFit(builder.page);
  await builder.page.getByRole("button", { name: "Begin a test sheet" }).click();
  await expect(builder.page.getByRole("heading", { name: "Test sheet 1", level: 1 })).toBeVisible();
  const path = new URL(builder.page.url()).pathname;
  await second.page.goto(path);
  await expect(second.page.locator("#item-B01")).toBeVisible();
  await expect(second.page.getByRole("region", { name: "What counts now" })).toContainText(/Keep 5\sm away/);
  await expectHandSized(second.page);
  await expectFit(second.page);

  let signatures = 0;
  let was_cut = false;
  for (let s = await sheetOf(built, path), item = nextOf(s); item; s = await sheetOf(built, path), item = nextOf(s)) {
    const role = item.lacks[0];
    const [who, other] = role === "builder" ? [builder, second] : [second, builder];
    const line = who.page.locator(`#item-${item.id} .item-line`);
    await expect(who.page.locator(`#item-${item.id}`)).toHaveClass(/state-(open|signing)/); // as the notebook has it, within seconds
    if ((await line.getAttribute("aria-expanded")) === "false") {
      await line.click();
    }
    if (item.state === "open") {
      // Nothing leaks: the gauge shows at the end what it showed at the start.
      const start = s.items.find((i) => i.id === "R03")?.entry?.values["p_test"];
      await fills(who.page, item, typeof start === "number" ? { p_end: String(start) } : {});
    }
    if (!was_cut && item.id === "P10") {
      was_cut = true;
      await who.context.setOffline(true);
      await expect(who.page.getByText(/No connection since/)).toBeVisible();
      await signs(who.page, item.id);
      await expect(who.page.locator(`#item-${item.id}`).getByRole("alert")).toContainText("No connection");
      await who.context.setOffline(false);
      await who.page.reload();
      await expect(who.page.locator("#P10-zone_keeper")).toHaveValue(`${petra}\n${tomasz}`);
      await expect(who.page.getByText(/No connection since/)).toHaveCount(0);
    }
    await signs(who.page, item.id);
    signatures++;
    await expect(other.page.locator(`#item-${item.id} .item-line`)).toContainText(item.lacks.length === 1 ? "met" : "to sign");
  }
  expect(was_cut).toBe(true);
  expect(signatures, "signatures of a plain machine").toBeLessThanOrEqual(20);
  expect((await sheetOf(built, path)).ended).toBe("passed");
  await expect(builder.page.getByText("Everything that is asked is recorded and signed.")).toBeVisible();
  await expectFit(builder.page);

  // The crew can't issue it; a steward who did not build it does.
  await builder.page.goto(`${machine}/certificate`);
  await expect(builder.page.getByText("A passed test waits for its certificate")).toBeVisible();
  await expect(builder.page.getByRole("button", { name: "Issue the certificate" })).toHaveCount(0);
  await steward.page.goto(`${machine}/certificate`);
  await steward.page.getByLabel(/^Password of/).fill(built.crew.password);
  await steward.page.getByRole("button", { name: "Issue the certificate" }).click();
  await expect(steward.page.getByText("It counts", { exact: true })).toBeVisible();
  await expect(steward.page.getByRole("region", { name: "Limits of use" })).toContainText("This is no permit.");
  await expectHandSized(steward.page);
  await expectFit(steward.page);

  await builder.page.goto(machine);
  await says(builder.page, "Put it into service", "Certificate beside it.");
  await expect(builder.page.getByText("It has a valid certificate.").first()).toBeVisible();

  await steward.page.getByRole("button", { name: "Revoke this certificate" }).click();
  await steward.page.getByLabel("Why", { exact: true }).fill("The drum was dropped.");
  await steward.page.getByLabel(/^Password of/).fill(built.crew.password);
  await steward.page.getByRole("button", { name: "Revoke it for good" }).click();
  await expect(steward.page.getByText("It does not count: the machine must not be under pressure.")).toBeVisible();
  await expect(steward.page.getByText("The drum was dropped.")).toBeVisible();

  // Its crew finds the design dangerous: the machine and its certificate say so too.
  await builder.page.goto(`${built.project}/designs/${built.design}/check/A`);
  await builder.page.getByRole("button", { name: "Withdraw it" }).click();
  await builder.page.getByLabel("Why it must not be built").fill("The drum rusts from inside.");
  await builder.page.getByRole("button", { name: "Withdraw it for good" }).click();
  await expect(builder.page.getByText("“The drum rusts from inside.”").first()).toBeVisible();
  await expectFit(builder.page);
  await builder.page.goto(`${machine}/certificate`);
  await expect(builder.page.getByText("Revision A, from which the machine is made, was withdrawn: it must not be put under pressure.").first()).toBeVisible();
  await expect(builder.page.getByText("The drum was dropped.")).toBeVisible();
  await builder.page.goto(machine);
  await expect(builder.page.getByText(/Revision A.* was withdrawn/).first()).toBeVisible();
});

test("items that were signed on paper are entered with its photograph, and one that can’t be met ends the test", async ({ browser, baseURL }) => {
  const built = await builtPlain(baseURL);
  const path = await begun(built);
  const { page } = await enters(browser, tomasz);
  await page.goto(path);
  const box = page.locator("#item-B01");
  await fills(page, itemOf(await sheetOf(built, path), "B01"));
  await box.getByRole("button", { name: "It was signed on paper" }).click();
  await box.getByLabel(/^Signing code of/).fill(code);
  await box.getByRole("button", { name: "Sign what the paper says" }).click();
  await expect(box.getByText("Photograph the signed paper.").first()).toBeVisible();
  const late = new Date(Date.now() - 2 * 3_600_000);
  await box.getByLabel("Day and time on the paper").fill(onPaper(late));
  await page.locator("#B01-paper").setInputFiles(photo);
  await expect(box.getByText("sent", { exact: true }).last()).toBeVisible();
  await box.getByLabel(/^Signing code of/).fill(code);
  await box.getByRole("button", { name: "Sign what the paper says" }).click();
  await expect(box.getByText(/before this test sheet was begun/).first()).toBeVisible();
  await box.getByLabel("Day and time on the paper").fill(onPaper(new Date()));
  await expectFit(page);
  await box.getByLabel(/^Signing code of/).fill(code);
  await box.getByRole("button", { name: "Sign what the paper says" }).click();
  await expect(box.locator(".item-line")).toContainText("met");
  await box.locator(".item-line").click();
  await expect(box.getByText(/From paper, signed/)).toBeVisible();

  const next = page.locator("#item-B02");
  if ((await next.locator(".item-line").getAttribute("aria-expanded")) === "false") {
    await next.locator(".item-line").click();
  }
  await next.getByRole("button", { name: "It can’t be met" }).click();
  await expectFit(page);
  await next.getByLabel("Why it can’t be met").fill("The water supplier does not allow it.");
  await next.getByLabel(/^Signing code of/).fill(code);
  await next.getByRole("button", { name: "Sign, and end this test" }).click();
  await expect(page.getByRole("region", { name: "What failed" })).toContainText("The water supplier does not allow it.");
  expect((await sheetOf(built, path)).ended).toBe("failed");
});

/** onPaper writes a time as a field for day and time takes it. */
const onPaper = (at: Date) => new Date(at.getTime() - at.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);

test("a reading outside its limits is asked once more, ends the test, and is closed by a steward", async ({ browser, baseURL }) => {
  test.setTimeout(150_000);
  const built = await builtPlain(baseURL);
  const path = await begun(built);
  const { page } = await enters(browser, tomasz);
  await page.goto(path);
  for (const id of ["B01", "B02", "B10", "P01", "P02"]) {
    const item = itemOf(await sheetOf(built, path), id);
    await expect(page.locator(`#item-${id} .item-line`)).toHaveAttribute("aria-expanded", "true");
    await fills(page, item);
    await signs(page, id);
    await expect(page.locator(`#item-${id} .item-line`)).toContainText("met");
  }
  // P04 is the builder's: Petra signs on his phone. Ten hours are not enough for the joints.
  await expect(page.locator("#item-P04")).toContainText(petra);
  const item = itemOf(await sheetOf(built, path), "P04");
  await fills(page, item, { cure_hours: "1" });
  await signs(page, "P04");
  const asked = page.getByRole("dialog", { name: "Is it really so?" });
  await expect(asked).toContainText("outside its limits");
  expect((await sheetOf(built, path)).ended).toBe(null);
  await expectFit(page);
  await asked.getByLabel(/^Signing code of/).fill(code);
  await asked.getByRole("button", { name: "It is so: sign, and end this test" }).click();
  await expect(page.getByRole("region", { name: "What failed" })).toContainText("P04 Joints cured");
  const failed = await sheetOf(built, path);
  expect(failed.ended).toBe("failed");
  expect(itemOf(failed, "P07").state).toBe("closed");

  for (const [id, who] of [
    ["C04", tomasz],
    ["C04", petra],
  ] as const) {
    const now = itemOf(await sheetOf(built, path), id);
    const line = page.locator(`#item-${id} .item-line`);
    if ((await line.getAttribute("aria-expanded")) === "false") {
      await line.click();
    }
    if (now.state === "open") {
      await fills(page, now);
    }
    const radio = page.locator(`#item-${id}`).getByLabel(who === tomasz ? /^second:/ : /^builder:/);
    if (await radio.count()) {
      await radio.check();
    }
    await signs(page, id);
    await expect(line).toContainText(who === tomasz ? "to sign: builder" : "met");
  }
  await expectFit(page);
  const steward = await enters(browser, bram);
  await steward.page.goto(path);
  await steward.page.getByLabel("What was done").fill("Left to cure for three more days.");
  await steward.page.getByLabel(/^Password of/).fill(built.steward.password);
  await steward.page.getByRole("button", { name: "Close it" }).click();
  await expect(steward.page.getByRole("region", { name: "What failed" })).toContainText("“Left to cure for three more days.”");
  await steward.page.getByRole("link", { name: "Begin a new test sheet" }).click();
  await expect(steward.page.getByText("What failed is closed.")).toBeVisible();
});
