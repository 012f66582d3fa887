import { expect, test } from "@playwright/test";
import { axeFindings, expectFit, expectHandSized, signIn } from "./support";

test("every calculation has a page that answers its own example", async ({ page }) => {
  test.slow(); // sixty pages
  await signIn(page);
  const wrong: string[] = [];
  page.on("console", (m) => m.type() === "error" && wrong.push(`${page.url()}: ${m.text()}`));
  page.on("pageerror", (e) => wrong.push(`${page.url()}: ${e.message}`));
  await page.getByRole("link", { name: "Reckoner", exact: true }).click();
  const links = page.locator(".subject a[href^='/reckoner/']");
  await expect(links.first()).toBeVisible();
  const all = await links.evaluateAll((found) => found.map((a) => a.getAttribute("href") ?? ""));
  expect(all.length).toBeGreaterThan(60); // the interface tables of the named calculations have more
  const seen = new Set<string>();
  for (const path of all) {
    await page.evaluate((to) => history.pushState(null, "", to), path); // as a link does
    await page.getByRole("button", { name: "Fill in an example" }).click();
    await page.waitForFunction(() => document.querySelector(".answer .numbers li")?.checkVisibility()); // looks at each frame: expect waits for up to a second
    await expect(page.locator(".fault, .answer ul:not(.numbers)"), path).toHaveCount(0);
    expect(new URL(page.url()).searchParams.get("in"), path).not.toBeNull();
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    expect(over, `sideways scroll: ${path}`).toBe(0);
    // Pages are made of a few pieces: axe looks where one of them is new.
    const pieces = await page.evaluate(() => [...document.querySelectorAll("main *")].map((e) => `${e.tagName}.${e.className}`));
    if (pieces.some((p) => !seen.has(p))) {
      expect(await axeFindings(page), path).toEqual([]);
      pieces.forEach((p) => seen.add(p));
    }
    await page.evaluate(() => history.pushState(null, "", "/nowhere"));
  }
  expect(seen.size).toBeGreaterThan(20);
  expect(wrong).toEqual([]);
});

test("a word of the trade or a symbol finds its calculation", async ({ page }) => {
  await signIn(page);
  await page.goto("/reckoner");
  for (const [word, title] of [
    ["weir", "Flow of a stream over a V-notch weir"],
    ["hammer", "Pressure surge when a flow is stopped"],
    ["bubbler", "Pressure that a diffuser needs and oxygen that it brings"],
    ["η_D", "What a hydraulic ram lifts, by its efficiency"],
  ] as const) {
    await page.getByLabel("Look for").fill(word);
    await expect(page.getByRole("link", { name: title }), word).toBeVisible();
    await expect(page.getByRole("link", { name: "Water that a roof" })).toHaveCount(0);
  }
  await page.reload();
  await expect(page.getByLabel("Look for")).toHaveValue("η_D");
  await page.getByLabel("Look for").fill("perpetual");
  await expect(page.getByText("No calculation goes by these words.")).toBeVisible();
  await page.getByRole("button", { name: "Show all" }).click();
  await expect(page.getByLabel("Look for")).toHaveValue("");
  await expectFit(page);
});

test("what is typed is answered at once, and its address brings it back", async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 740 });
  await signIn(page);
  await page.goto("/reckoner/system/orifice_air");
  await page.getByLabel("Pressure before the hole, absolute").fill("5 barg");
  await expect(page.locator(".fault")).toContainText("counts from vacuum");
  await page.getByLabel("Pressure before the hole, absolute").fill("7 bar abs");
  await expect(page.getByRole("link", { name: /^Area of the hole/ })).toBeVisible(); // still wanted
  await page.getByLabel("Bore of the hole, where no area is given").fill("2");
  await expect(page.locator(".answer .numbers li").first()).toBeVisible();
  // Choked flow of dry air: 0.04042·C_d·A·p/√T (from memory, as gas dynamics has it), 0.003218 kg/s here.
  await expect(page.locator(".answer .numbers li").filter({ hasText: "Mass flow" })).toContainText(/0\.0032[12]\d?\s*kg/);
  await page.reload();
  await expect(page.getByLabel("Bore of the hole, where no area is given")).toHaveValue("2");
  await expectHandSized(page);

  await page.goto("/reckoner/safety/stock");
  await page.getByLabel("Length in which it is sold").fill("6");
  await page.getByLabel("Length of the piece").fill("3.2");
  await page.getByRole("button", { name: "One more" }).click();
  await page.getByRole("group", { name: "2 of 2" }).getByLabel("Length of the piece").fill("2.9");
  await expect(page.locator(".answer .numbers li").filter({ hasText: "Bars of the best plan found" })).toContainText("2"); // 3.2 + 2.9 is more than 6
  await page.getByRole("button", { name: "Take out 1" }).click();
  await expect(page.getByLabel("Length of the piece")).toHaveValue("2.9");
});
