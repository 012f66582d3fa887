import { expect, test, type Page } from "@playwright/test";
import { expectFit, petra, signIn, startProject, title } from "./support";

/** password asks the server for the demo password of Petra. */
async function password(page: Page): Promise<string> {
  const answer = await page.request.get("/api/v1/setup");
  const { demo } = (await answer.json()) as { demo: { people: { name: string; password: string }[] } };
  return demo.people.find((p) => p.name === petra)?.password ?? "";
}

/** endSession makes the server refuse this browser: the cookie is gone and the next call finds the token refused. */
async function endSession(page: Page, calls: string): Promise<void> {
  await page.context().clearCookies();
  await page.route(
    calls,
    (r) => r.fulfill({ status: 401, contentType: "application/problem+json", json: { title: "Not signed in", code: "signed-out", fields: [] } }),
    { times: 1 },
  );
}

test("a session that ended asks for the password over the page, then sends what was typed", async ({ page }) => {
  await signIn(page);
  const secret = await password(page);
  await page.goto("/projects/new");
  const name = title("Typed before the end");
  await page.getByLabel("Title").fill(name);
  await endSession(page, "**/api/v1/projects");
  await page.getByRole("button", { name: "Start the project" }).click();
  await expect(page.getByRole("dialog", { name: "Please sign in again" })).toBeVisible();
  await expect(page.getByLabel("Title")).toHaveValue(name);
  await expectFit(page);
  await page.getByLabel(/^Password of/).fill(secret);
  await page.getByRole("button", { name: "Sign in and go on" }).click();
  await expect(page.getByRole("heading", { name, level: 1 })).toBeVisible();
});

test("not signing in again now keeps the page and its text, and says what to do", async ({ page }) => {
  await signIn(page);
  await page.goto("/projects/new");
  await page.getByLabel("Title").fill("Kept for later");
  await endSession(page, "**/api/v1/projects");
  await page.getByRole("button", { name: "Start the project" }).click();
  await page.getByRole("button", { name: "Not now, keep the page as it is" }).click();
  await expect(page.getByLabel("Title")).toHaveValue("Kept for later");
  await expect(page.getByRole("alert")).toContainText("Sign in again to send it.");
  await expect(page.getByRole("button", { name: "Sign in again" })).toBeVisible();
  await expectFit(page);
});

test("without signal the text stays, and goes out later", async ({ page, context }) => {
  await signIn(page);
  await page.goto("/projects/new");
  const name = title("Written at the weir");
  await page.getByLabel("Title").fill(name);
  await context.setOffline(true);
  await expect(page.getByText("No signal.")).toBeVisible();
  await page.getByRole("button", { name: "Start the project" }).click();
  await expect(page.getByRole("alert")).toContainText("No connection to the notebook.");
  await expect(page.getByLabel("Title")).toHaveValue(name);
  await expectFit(page);
  await context.setOffline(false);
  await page.getByRole("button", { name: "Start the project" }).click();
  await expect(page.getByRole("heading", { name, level: 1 })).toBeVisible();
});

test("an answer that got lost, a reload, and a second try make one project", async ({ page }) => {
  await signIn(page);
  await page.goto("/projects/new");
  const name = title("Only once");
  await page.getByLabel("Title").fill(name);
  await page.route(
    "**/api/v1/projects",
    async (r) => {
      await r.fetch();
      await r.abort();
    },
    { times: 1 },
  );
  await page.getByRole("button", { name: "Start the project" }).click();
  await expect(page.getByRole("alert")).toContainText("No connection");
  await page.reload();
  await expect(page.getByText("Not sent yet.")).toBeVisible();
  await expect(page.getByLabel("Title")).toHaveValue(name);
  await page.getByLabel("What it is for").fill("Thought of after the reload.");
  await page.getByRole("button", { name: "Start the project" }).click();
  await expect(page.getByRole("heading", { name, level: 1 })).toBeVisible();
  await expect(page.getByText("Thought of after the reload.")).toBeVisible();
  await page.goto("/projects");
  await expect(page.getByRole("link", { name })).toHaveCount(1);
});

test("a design that was made although its answer got lost is not made again under another title", async ({ page }) => {
  await signIn(page);
  const path = await startProject(page, title("Lost answer"));
  await page.goto(`${path}/designs/new`);
  await page.getByLabel("Title").fill("First thought");
  await page.route(
    "**/designs",
    async (r) => {
      await r.fetch();
      await r.abort();
    },
    { times: 1 },
  );
  await page.getByRole("button", { name: "Start the design" }).click();
  await expect(page.getByRole("alert")).toContainText("No connection");
  await page.getByLabel("Title").fill("Second thought");
  await page.getByRole("button", { name: "Start the design" }).click();
  await expect(page.getByRole("alert")).toContainText("had been made already, as “First thought”");
  await page.goto(path);
  await expect(page.getByRole("link", { name: /First thought/ })).toHaveCount(1);
  await expect(page.getByRole("link", { name: /Second thought/ })).toHaveCount(0);
});

test("two people at one site: the second sees both texts and loses neither", async ({ page, browser }) => {
  await signIn(page);
  const path = await startProject(page, title("Two hands"));
  await page.goto(`${path}/site`);
  await page.getByLabel("Fall").fill("3.1");
  await page.getByLabel("Note", { exact: true }).fill("Gate key is with Ines.");

  const context = await browser.newContext();
  const second = await context.newPage();
  await signIn(second);
  await second.goto(`${path}/site`);
  await second.getByLabel("Fall").fill("2.9");
  await second.getByLabel("Air temperature").fill("17");
  await second.getByRole("button", { name: "Save the site" }).click();
  await expect(second.getByText("2.90\u202Fm of fall")).toBeVisible();
  await context.close();

  await page.getByRole("button", { name: "Save the site" }).click();
  const both = page.getByRole("alert", { name: "Saved by someone else meanwhile" });
  await expect(both).toBeFocused();
  await expect(both.getByRole("row", { name: /^Fall/ })).toContainText("3.1");
  await expect(both.getByRole("row", { name: /^Fall/ })).toContainText("2.9");
  await expect(page.getByLabel("Note", { exact: true })).toHaveValue("Gate key is with Ines.");
  await expectFit(page);
  await expect(both).toContainText("Air temperature: 17");
  await expect(page.getByLabel("Air temperature")).toHaveValue("17");
  await page.getByRole("button", { name: "Save the site" }).click();
  await expect(page.getByText("3.10\u202Fm of fall")).toBeVisible();
  await page.getByRole("link", { name: "Say what is lacking" }).click();
  await expect(page.getByLabel("Air temperature")).toHaveValue("17");
  await expect(page.getByLabel("Note", { exact: true })).toHaveValue("Gate key is with Ines.");
});

/** gone waits until the server has ended the session. */
const gone = (page: Page) => page.waitForResponse((r) => r.request().method() === "DELETE" && r.url().endsWith("/api/v1/session"));

test("signing out asks what shall become of text that is not sent", async ({ page }) => {
  await signIn(page);
  await page.goto("/projects/new");
  await page.getByLabel("Title").fill("Half a thought");
  await page.getByRole("button", { name: petra }).click();
  await expect(page.getByText("One form holds text of yours")).toBeVisible();
  await Promise.all([gone(page), page.getByRole("button", { name: "Sign out, keep it here" }).click()]);
  await signIn(page);
  await page.goto("/projects/new");
  await expect(page.getByLabel("Title")).toHaveValue("Half a thought");
  await page.getByRole("button", { name: petra }).click();
  await Promise.all([gone(page), page.getByRole("button", { name: "Sign out and remove it" }).click()]);
  await signIn(page);
  await page.goto("/projects/new");
  await expect(page.getByLabel("Title")).toHaveValue("");
});
