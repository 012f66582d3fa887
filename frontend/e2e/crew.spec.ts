import { expect, test } from "@playwright/test";
import { expectFit, expectHandSized, petra, signIn, startProject, title, tomasz } from "./support";

test("a crew asks, who says yes may edit, and leaves again", async ({ page, browser }) => {
  await signIn(page);
  const name = title("Crew wanted");
  const path = await startProject(page, name);
  await page.getByRole("button", { name: "Ask a member to join" }).click();
  await page.getByRole("button", { name: "Ask", exact: true }).click();
  await expect(page.getByText("Choose a member.")).toBeVisible();
  await page.getByLabel("Member").selectOption(tomasz);
  await page.getByRole("button", { name: "Ask", exact: true }).click();
  await expect(page.getByText(`${tomasz}, asked by ${petra}`)).toBeVisible();
  await expectFit(page);

  const context = await browser.newContext();
  const other = await context.newPage();
  await signIn(other, tomasz);
  await other.getByRole("link", { name: "Waiting" }).click();
  await expect(other.getByRole("link", { name })).toBeVisible();
  await expectHandSized(other);
  await expectFit(other);
  await other.getByRole("button", { name: `Join the crew of ${name}` }).click();
  await other.getByRole("link", { name: "Describe the site" }).click();
  await other.getByLabel("Name of the place").fill("Upper sluice");
  await other.getByRole("button", { name: "Save the site" }).click();
  await expect(other.getByText("Upper sluice")).toBeVisible();
  await other.getByRole("button", { name: "Leave the crew" }).click();
  await other.getByRole("dialog").getByRole("button", { name: "Leave the crew" }).click();
  await expect(other.getByText(`On it before: ${tomasz}`)).toBeVisible();
  await expect(other.getByRole("link", { name: /Change the site|Say what is lacking/ })).toHaveCount(0);
  await context.close();

  await page.goto(path);
  await page.getByRole("button", { name: "Leave the crew" }).click();
  await expect(page.getByText("You are the last.")).toBeVisible();
  await page.getByRole("dialog").getByRole("button", { name: "Leave the crew" }).click();
  await expect(page.getByText("Nobody is left on the crew.")).toBeVisible();
  await expectFit(page);
});

test("one’s own account: units, name, and other devices signed out", async ({ page, browser }) => {
  const context = await browser.newContext();
  const elsewhere = await context.newPage();
  await signIn(elsewhere, tomasz);
  await signIn(page, tomasz);
  await page.getByRole("button", { name: tomasz }).click();
  await page.getByRole("link", { name: /^Your account/ }).click();
  await expect(page.getByRole("heading", { name: "Your account", level: 1 })).toBeFocused();
  await page.getByLabel(/^US customary/).check();
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await expect(page.getByText("Saved.")).toBeVisible();
  await expectHandSized(page);
  await expectFit(page);
  await page.reload();
  await expect(page.getByLabel(/^US customary/)).toBeChecked();
  await page.getByLabel("as the group has it").check();
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await expect(page.getByText("Saved.")).toBeVisible();

  await page.getByLabel("Present password").fill("not this one at all");
  await page.getByLabel("New password").fill("four brown dippers");
  await page.getByRole("button", { name: "Change the password" }).click();
  await page.getByRole("link", { name: /This isn’t|This isn't/ }).click();
  await expect(page.getByLabel("Present password")).toBeFocused();
  await expect(page.getByText("(this device)")).toBeVisible();
  await page.getByRole("button", { name: "Sign out all others" }).click();
  await expect(page.getByRole("button", { name: "Sign out all others" })).toHaveCount(0);
  await elsewhere.reload();
  await expect(elsewhere.getByRole("heading", { name: "Sign in", level: 1 })).toBeVisible();
  await context.close();
});
