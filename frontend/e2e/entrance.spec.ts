import { expect, test, type Page } from "@playwright/test";
import { expectFit, expectHandSized, petra, signIn } from "./support";

interface Person {
  name: string;
  address: string;
  password: string;
}

async function demoPerson(page: Page): Promise<Person> {
  const answer = await page.request.get("/api/v1/setup");
  const { demo } = (await answer.json()) as { demo: { people: Person[] } };
  const person = demo.people.find((p) => p.name === petra);
  if (!person) {
    throw new Error(`the demo has no ${petra}`);
  }
  return person;
}

test("a visitor of the demo is told that all is invented, and gets in as one of its people", async ({ page }) => {
  await page.goto("/");
  await expect(page.getByText("are invented")).toBeVisible();
  await expectHandSized(page);
  await page.getByRole("button", { name: petra }).click();
  await expect(page.getByRole("heading", { name: "Waiting on you", level: 1 })).toBeFocused();
  await expect(page.getByRole("button", { name: petra })).toBeVisible();
});

test("signing in takes no more than a keyboard, and a fault leads to its field", async ({ page }) => {
  const person = await demoPerson(page);
  await page.goto("/");
  await expect(page.getByRole("heading", { name: "Sign in", level: 1 })).toBeFocused();
  const tabTo = async (label: string) => {
    for (let n = 0; n < 20; n++) {
      await page.keyboard.press("Tab");
      if (await page.getByLabel(label, { exact: true }).evaluate((e) => e === document.activeElement)) {
        return;
      }
    }
    throw new Error(`the keyboard does not reach ${label}`);
  };
  await tabTo("E-mail address");
  await page.keyboard.press("Enter");
  await expect(page.getByRole("alert")).toBeFocused();
  await page.keyboard.press("Tab");
  await expect(page.getByRole("link", { name: "Type your e-mail address." })).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(page.getByLabel("E-mail address")).toBeFocused();
  await page.keyboard.type(person.address);
  await tabTo("Password");
  await page.keyboard.type(person.password);
  await page.keyboard.press("Enter");
  await expect(page.getByRole("heading", { name: "Waiting on you", level: 1 })).toBeFocused();
});

test("a wrong password is said, and the address stays", async ({ page }) => {
  await page.goto("/");
  await page.getByLabel("E-mail address").fill("nobody@thornwick.example");
  await page.getByLabel("Password").fill("not the one at all");
  await page.getByRole("button", { name: "Sign in", exact: true }).click();
  await expect(page.getByRole("alert")).toBeFocused();
  await expect(page.getByLabel("E-mail address")).toHaveValue("nobody@thornwick.example");
  await expectFit(page);
});

test("a reload stays signed in, signing out does not", async ({ page }) => {
  await signIn(page);
  await page.reload();
  await page.getByRole("button", { name: petra }).click();
  await expectFit(page);
  await page.getByRole("button", { name: "Sign out" }).click();
  await expect(page.getByRole("heading", { name: "Sign in", level: 1 })).toBeVisible();
  await page.reload();
  await expect(page.getByRole("heading", { name: "Sign in", level: 1 })).toBeVisible();
});

test("the ground that was chosen stays", async ({ page }) => {
  await page.emulateMedia({ colorScheme: "light" });
  await signIn(page);
  const ground = () => page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
  const paper = await ground();
  await page.getByRole("button", { name: petra }).click();
  await page.getByLabel("blueprint").check();
  expect(await ground()).not.toBe(paper);
  await page.reload();
  await expect(page.getByRole("heading", { name: "Projects", level: 1 })).toBeVisible();
  expect(await ground()).not.toBe(paper);
});

test("a new notebook asks for its first keeper and says the rules before they are broken", async ({ page }) => {
  await page.route("**/api/v1/setup", (r) => r.fulfill({ json: { needs_keeper: true, demo: null } }));
  await page.goto("/");
  await expect(page.getByRole("heading", { name: "A new notebook" })).toBeVisible();
  await expect(page.getByText("12 to 128 characters")).toBeVisible();
  await page.getByLabel("Password").fill("too short");
  await expect(page.getByText("9 of at least 12 characters")).toBeVisible();
  await page.getByRole("button", { name: "Make me the keeper" }).click();
  await expect(page.getByRole("link", { name: "Type the one-time code that the server printed." })).toBeVisible();
  await expectHandSized(page);
  await expectFit(page);
});

test("a notebook that does not answer says so and can be asked again", async ({ page }) => {
  let down = true;
  await page.route("**/api/v1/setup", (r) => (down ? r.abort() : r.continue()));
  await page.goto("/");
  await expect(page.getByRole("heading", { name: "The notebook does not answer" })).toBeVisible();
  down = false;
  await page.getByRole("button", { name: "Try again" }).click();
  await expect(page.getByRole("heading", { name: "Sign in", level: 1 })).toBeVisible();
});
