import { expect, test, type Page } from "@playwright/test";
import { expectFit, expectHandSized, signIn, title } from "./support";

const ines = "Ines Calloway";

/** handedOver reads the link that stands on the page this once. */
async function handedOver(page: Page): Promise<string> {
  return (await page.locator(".hand-over .link").textContent()) ?? "";
}

test("a keeper invites somebody, who joins, gets a role and, later, a new password", async ({ page, browser }) => {
  const name = title("Olwen");
  await signIn(page, ines);
  await page.getByRole("link", { name: "Group", exact: true }).click();
  await page.getByLabel("Whom it is for").fill(name);
  await page.getByRole("button", { name: "Make an invitation" }).click();
  const invitation = await handedOver(page);
  await expect(page.getByText(`For ${name}, as member`)).toBeVisible();
  await expectHandSized(page);
  await expectFit(page);

  const theirs = await browser.newContext();
  const other = await theirs.newPage();
  await other.goto(invitation);
  await expect(other.getByLabel("Code of the invitation")).toHaveValue(/^[2-9A-Z]{4}-[2-9A-Z]{4}-[2-9A-Z]{4}$/);
  await other.getByRole("button", { name: "Join" }).click();
  await expect(other.getByRole("link", { name: "Type your name." })).toBeVisible();
  await expectFit(other);
  await other.getByLabel("Your name").fill(name);
  await other.getByLabel("E-mail address").fill(`${name.replace(" ", ".")}@thornwick.example`);
  await other.getByLabel("Password").fill("three grey wagtails");
  await other.getByRole("button", { name: "Join" }).click();
  await expect(other.getByRole("button", { name })).toBeVisible();
  expect(other.url()).not.toContain("#");
  await other.goto("/group");
  await expect(other.getByRole("button", { name: "Make an invitation" })).toHaveCount(0);
  await expectFit(other);

  await page.reload();
  await page.getByRole("button", { name: `Change: ${name}` }).click();
  await expectFit(page);
  await page.getByRole("dialog").getByLabel("checker").check();
  await page.getByRole("button", { name: "Save the roles" }).click();
  await expect(page.getByText(`${ines} gave ${name} the role of checker.`)).toBeVisible();

  await page.getByRole("button", { name: `Change: ${name}` }).click();
  await page.getByRole("button", { name: "Make a code" }).click();
  const reset = await handedOver(page);
  const third = await (await browser.newContext()).newPage();
  await third.goto(reset);
  await third.getByRole("textbox", { name: "New password" }).fill("five grey wagtails");
  await expectFit(third);
  await third.getByRole("button", { name: "Set the password" }).click();
  await expect(third.getByRole("button", { name })).toBeVisible();

  // The former device is signed out, and the code is used up.
  await other.goto("/group");
  await expect(other.getByRole("heading", { name: "Sign in", level: 1 })).toBeVisible();
  await other.goto(reset);
  await other.getByRole("textbox", { name: "New password" }).fill("six grey wagtails");
  await other.getByRole("button", { name: "Set the password" }).click();
  await expect(other.getByRole("alert")).toContainText("used already");
  await expect(other.getByRole("textbox", { name: "New password" })).toHaveValue("six grey wagtails");
});

test("nobody gives a role to themselves, and the only keeper stays", async ({ page }) => {
  await signIn(page, ines);
  await page.goto("/group");
  await page.getByRole("button", { name: `Change: ${ines}` }).click();
  await expect(page.getByRole("dialog").getByLabel("steward")).toBeDisabled();
  await page.getByRole("dialog").getByLabel("keeper").uncheck();
  await page.getByRole("button", { name: "Save the roles" }).click();
  await expect(page.getByRole("alert")).toContainText("only keeper");
  await expect(page.getByRole("dialog").getByLabel("keeper")).not.toBeChecked();
});
