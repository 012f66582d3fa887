import { expect, test } from "@playwright/test";
import { demoMember } from "./caller";
import { expectFit, petra, signIn, title } from "./support";

test("what was measured stands beside what was predicted, and what does not count with its reason", async ({ page }) => {
  await signIn(page, petra);
  await page.getByRole("link", { name: "Evidence", exact: true }).click();
  await expect(page.getByRole("heading", { name: "Evidence", level: 1 })).toBeVisible();

  const air = page.getByRole("region", { name: "Free air delivered", exact: true });
  await expect(air.getByText("Amounts of free air come out")).toBeVisible();
  const pairs = air.getByRole("figure", { name: "Free air delivered, predicted and measured" });
  await expect(pairs.getByText("9 counted, 1 set aside, 0 not counted.")).toBeVisible();
  await air.getByText("The same values as a table").click();
  await expect(air.getByRole("row").filter({ hasText: "Rig of the bakery" })).toContainText("counted");
  await expect(air.getByRole("row").filter({ hasText: "Rig of the library" })).toContainText("set aside");
  // How often an interval held is never said without what nine machines can tell: Wilson, 8 of 9 is 57 to 98 %, by hand.
  await expect(air.getByRole("row").filter({ has: page.getByRole("rowheader", { name: "95\u202F%", exact: true }) })).toContainText("57\u202F% to 98\u202F%");

  const aside = page.getByRole("region", { name: "Set aside: 1", exact: true });
  await expect(aside.getByRole("row").filter({ hasText: "Rig of the library" })).toContainText("It was set aside by Bram Oduya");
  await expectFit(page);
  await page.getByRole("region", { name: "Counted: 9", exact: true }).getByRole("link", { name: "Rig of the bakery" }).click();
  await expect(page).toHaveURL(/\/projects\/\d+\/builds\/\d+\/runs\/1$/);
});

test("one proposal was refused for a reason, the next one adopted", async ({ page }) => {
  await signIn(page, petra);
  await page.goto("/evidence/sets");
  await expect(page.getByText("Predictions are made with set 1 now.")).toBeVisible();
  await page.getByRole("link", { name: /^Proposal 1 can’t be adopted/ }).click();
  await expect(page.getByRole("heading", { name: "Proposal 1", level: 1 })).toBeVisible();
  await expect(page.getByRole("row").filter({ hasText: "More than one crew" })).toContainText("They were made by 1 crew; at least 2 are needed.");
  await expectFit(page);

  await page.goto("/evidence/sets/2");
  await expect(page.getByText("Adopted as set 1 by Bram Oduya")).toBeVisible();
  await expect(page.getByText("New predictions are made with it.")).toBeVisible();
  await expect(page.getByRole("row").filter({ hasText: "k_c0" })).toContainText("It moved down");
  await expect(page.getByRole("region", { name: "Each machine, predicted by the others" }).getByRole("row")).toHaveCount(10);
  await expectFit(page);
});

test("a member proposes a set, and what came of it comes to the page by itself", async ({ page, baseURL }) => {
  await signIn(page, petra);
  await page.goto("/evidence/sets");
  await page.getByRole("button", { name: "Propose a set" }).click();
  await page.getByRole("button", { name: "Propose it" }).click();
  await expect(page.getByRole("alert")).toContainText("Say why");
  const why = title("Once more, with all of them");
  await page.getByLabel("Why").fill(why);
  await page.getByRole("button", { name: "Propose it" }).click();
  await expect(page.getByRole("heading", { name: /^Proposal \d+$/, level: 1 })).toBeVisible();
  await expect(page.getByText(why)).toBeVisible();
  await expect(page.getByText("What the runs say is being worked out.")).toBeVisible();
  await expect(page.getByRole("button", { name: "Adopt it" })).toHaveCount(0);

  // It may take minutes, so that the answer to an earlier proposal stands in for it.
  const earlier = await (await demoMember(baseURL, petra)).get<object>("/coefficient-sets/1");
  const at = new URL(page.url()).pathname.replace("/evidence/sets", "/api/v1/coefficient-sets");
  await page.route(`**${at}`, (r) => r.fulfill({ json: { ...earlier, why } }));
  await expect(page.getByRole("heading", { name: "What must hold" })).toBeVisible();
  await expect(page.getByText("Something speaks against it, so nobody can adopt it.")).toBeVisible();
  await expect(page.getByText("What the runs say is being worked out.")).toHaveCount(0);
});
