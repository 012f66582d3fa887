import { readFileSync } from "node:fs";
import { expect, request, test, type Browser, type Page } from "@playwright/test";
import { expectFit, expectHandSized, petra, signIn, title, tomasz } from "./support";

const bram = "Bram Oduya";

/** A trompe whose parts are all described, one of them allowed with conditions only: two must clear it. */
const machine: unknown = JSON.parse(readFileSync("../domain/notebook/demo/bench-pe.json", "utf8"));

interface Demo {
  demo: { people: { name: string; address: string; password: string }[] };
}

/** begun starts a project of Petra's with one saved sheet, past the pages, and answers the path of its design, her password, and a way to ask as her. */
async function begun(baseURL: string, named: string) {
  const api = await request.newContext({ baseURL });
  const { demo } = (await (await api.get("/api/v1/setup")).json()) as Demo;
  const person = demo.people.find((p) => p.name === petra);
  const password = person?.password ?? "";
  const { access_token } = (await (await api.post("/api/v1/session", { data: { address: person?.address, password } })).json()) as { access_token: string };
  const headers = { Authorization: `Bearer ${access_token}` };
  const key = () => crypto.randomUUID().replaceAll("-", "");
  const made = async (path: string, data: unknown, more: Record<string, string> = {}) => {
    const answer = await api.post(path, { data, headers: { ...headers, ...more } });
    expect(answer.status(), path).toBe(201);
    return (await answer.json()) as { id: number };
  };
  const project = await made("/api/v1/projects", { title: named, purpose: "Air for the lamp at the weir.", client_key: key() });
  const design = await made(`/api/v1/projects/${project.id}/designs`, { title: "Lamp trompe", client_key: key() });
  const path = `/projects/${project.id}/designs/${design.id}`;
  const etag = async () => (await api.get(`/api/v1${path}`, { headers })).headers()["etag"] ?? "";
  await made(`/api/v1${path}/revisions/A/sheets`, { input: machine, note: "" }, { "If-Match": await etag() });
  const says = async (letter: string) =>
    api.post(`/api/v1${path}/revisions/${letter}/outcomes`, { data: { outcome: "clear", note: "", password }, headers: { ...headers, "If-Match": await etag() } });
  return { path, password, says };
}

/** enter opens a browser of its own for somebody. */
async function enter(browser: Browser, name: string, width: number): Promise<Page> {
  const page = await (await browser.newContext({ viewport: { width, height: 780 } })).newPage();
  await signIn(page, name);
  return page;
}

/** opens goes to the check of a letter and waits for its drawing. */
async function opens(page: Page, path: string, letter: string): Promise<void> {
  await page.goto(`${path}/check/${letter}`);
  await expect(page.locator(".sheet-drawing svg").first()).toBeVisible();
}

/** clears says clear, signed. */
async function clears(page: Page, password: string): Promise<void> {
  await page.getByLabel(/^Clear:/).check();
  await page.getByLabel(/^Password of/).fill(password);
  await page.getByRole("button", { name: "Sign: clear" }).click();
  await expect(page.getByText("You said clear, and it is signed.")).toBeVisible();
}

/** Of one letter after another: each walk goes on where the last one ended. */
test.describe.serial("a design before other eyes", () => {
  let path = "";
  let password = "";

  test("it is issued, and its author is told why not, and refused", async ({ page, baseURL }) => {
    const { says, ...rest } = await begun(baseURL ?? "", title("Lamp air"));
    ({ path, password } = rest);
    await signIn(page);
    await page.goto(path);
    await page.getByRole("button", { name: "Issue for check" }).click();
    const dialog = page.getByRole("dialog");
    await expect(dialog.getByText("Two checkers who are not on your crew")).toBeVisible();
    await dialog.getByLabel(tomasz).check();
    await dialog.getByLabel("What they should look at").fill("The clips of the hose.");
    await dialog.getByRole("button", { name: "Issue A.1" }).click();

    // Its author reads all of it, is told why not, and is refused.
    await expect(page.getByText("None of two checkers has said clear yet.")).toBeVisible();
    await expect(page.getByText(`Asked: ${tomasz}.`)).toBeVisible();
    await expect(page.getByText("You are on the crew of this project")).toBeVisible();
    await expect(page.getByRole("link", { name: "Say clear or return" })).toHaveCount(0);
    expect((await says("A")).status()).toBe(403);
    await page.goto(path);
    await expect(page.getByRole("button", { name: "Save the sheet" })).toHaveCount(0);
    await expect(page.getByText("It is frozen")).toBeVisible();
  });

  test("a checker leaves a stopper on an input, without signal at first, and returns it", async ({ browser }) => {
    const checker = await enter(browser, tomasz, 360);
    await checker.goto(path.replace(/\/designs.*/, ""));
    await checker.getByRole("link", { name: "Check it" }).click();
    await checker.getByRole("region", { name: "Inputs" }).locator("summary", { hasText: /^Riser, \d+ lines/ }).click();
    const outlet = checker.getByRole("region", { name: "Inputs" }).getByRole("listitem").filter({ hasText: "Level at which the water leaves" });
    await outlet.locator("summary").click();
    await outlet.getByRole("button", { name: /^Leave a remark/ }).click();
    await checker.context().setOffline(true);
    await checker.getByLabel(/^Stopper:/).check();
    await checker.getByLabel("What did you find?").fill("Nobody can see the outlet from the tap.");
    await checker.getByRole("button", { name: "Leave the remark" }).click();
    await expect(checker.getByRole("region", { name: "Not sent yet" })).toContainText("stopper on riser: Level at which the water leaves");
    await checker.context().setOffline(false);
    const remarks = checker.getByRole("region", { name: "Remarks that stand open" });
    await expect(remarks.getByText("Nobody can see the outlet from the tap.")).toBeVisible();
    await expect(checker.getByRole("region", { name: "Not sent yet" })).toHaveCount(0);
    await expect(outlet.locator("summary")).toContainText("one stopper");
    await expectHandSized(checker);
    await expectFit(checker);
    await checker.getByLabel(/^Return:/).check();
    await checker.getByLabel("Why it goes back").fill("See the stopper.");
    await checker.getByLabel(/^Password of/).fill("not my password");
    await checker.getByRole("button", { name: "Sign: return" }).click();
    await expect(checker.getByRole("alert").first()).toContainText("not the password");
    await checker.getByLabel(/^Password of/).fill(password);
    await checker.getByRole("button", { name: "Sign: return" }).click();
    await expect(checker.getByText("You said return, and it is signed.")).toBeVisible();
    await checker.context().close();
  });

  test("the crew answers and starts the next letter, with which goes what stands open", async ({ page }) => {
    await signIn(page);
    await opens(page, path, "A");
    await page.getByRole("button", { name: "Answer it" }).click();
    await page.getByLabel("Your answer").fill("Raised by 40 mm in letter B.");
    await page.getByRole("button", { name: "Send the answer" }).click();
    await expect(page.getByText("Raised by 40 mm in letter B.")).toBeVisible();
    await page.getByRole("button", { name: "Start the next letter" }).click();
    await page.getByRole("dialog").getByRole("button", { name: "Start the next letter" }).click();
    await page.getByRole("textbox", { name: "Level at which the water leaves", exact: true }).fill("1.12 m");
    await page.getByRole("button", { name: "Issue for check" }).click();
    await expect(page.getByRole("dialog")).toContainText("not saved"); // what they check is what was saved
    await page.getByRole("button", { name: "Not yet" }).click();
    await page.getByRole("button", { name: "Save the sheet" }).click();
    await expect(page.getByText("Saved as B.2.")).toBeVisible();
    await page.getByRole("button", { name: "Issue for check" }).click();
    await page.getByRole("dialog").getByRole("button", { name: "Issue B.2" }).click();
    await expect(page.getByText("left on letter A")).toBeVisible();
    await page.getByRole("link", { name: "Lay it beside letter A" }).click();
    await expect(page.getByText("Inputs differ of: riser.")).toBeVisible();
    await expect(page.getByRole("figure", { name: "A.1" })).toBeVisible();
    await expect(page.getByRole("figure", { name: "B.2" })).toBeVisible();
  });

  test("two clear it and a stopper still holds it, until who raised that lays it to rest", async ({ page, browser }) => {
    const checker = await enter(browser, tomasz, 360);
    await opens(checker, path, "B");
    await clears(checker, password);
    await expect(checker.getByText("One of two checkers has said clear.")).toBeVisible();
    const second = await enter(browser, bram, 1280);
    await opens(second, path, "B");
    await clears(second, password);
    await expect(second.getByText("1 stopper", { exact: false }).first()).toBeVisible();
    await expect(second.getByRole("button", { name: "Lay it to rest" })).toHaveCount(0);
    await expectFit(second);
    await checker.getByRole("button", { name: "Lay it to rest" }).click();
    await checker.getByRole("button", { name: "Lay it to rest for good" }).click();
    await expect(checker.getByText(`Letter B is cleared, by ${tomasz} and ${bram}.`)).toBeVisible();

    await signIn(page);
    await page.goto(path.replace(/\/designs.*/, ""));
    await expect(page.getByText("Letter B is cleared")).toBeVisible();
    await expectFit(page);
  });
});

test("a letter is taken back before anybody has said anything", async ({ page, baseURL }) => {
  const { path } = await begun(baseURL ?? "", title("Too early"));
  await signIn(page);
  await page.goto(path);
  await page.getByRole("button", { name: "Issue for check" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Issue A.1" }).click();
  await page.getByRole("button", { name: "Take it back" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Take it back" }).click();
  await expect(page.getByText(`${petra} took letter A back`)).toBeVisible();
  await expect(page.getByRole("button", { name: "Start the next letter" })).toBeVisible();
  await expectFit(page);
});
