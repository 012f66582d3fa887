import { expect, test } from "@playwright/test";
import { expectFit, expectHandSized, signIn, startProject, title } from "./support";

test("a bucket is timed without signal, and is a gauging when there is some", async ({ page, context }) => {
  await page.setViewportSize({ width: 390, height: 740 });
  await signIn(page);
  const name = title("Otter beck");
  const path = await startProject(page, name);
  await page.goto("/stream");
  await expect(page.getByRole("heading", { name: "At the stream" })).toBeVisible();
  await expect(page.getByLabel("Site of the project")).toContainText(name);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));

  await context.setOffline(true);
  await page.reload();
  await expect(page.getByRole("heading", { name: "At the stream" })).toBeVisible();
  await page.getByLabel("The bucket holds").fill("0.2");
  for (const label of ["It begins to fill", "Fill it again", "Fill it again"]) {
    await page.getByRole("button", { name: label }).click();
    if (label === "It begins to fill") {
      await page.reload(); // the phone went dark in the middle of it
    }
    await page.waitForTimeout(700);
    await page.getByRole("button", { name: /^Full/ }).click();
  }
  await expect(page.getByRole("listitem").filter({ hasText: "Strike out" })).toHaveCount(3);
  await page.getByLabel("Fall", { exact: true }).fill("2.5");
  await page.getByLabel(/^Depth that can be dug/).fill("3");
  await expect(page.locator(".could, section p").filter({ hasText: /of air at|Next to nothing/ }).first()).toBeVisible();
  await expectHandSized(page);

  await page.getByLabel("Site of the project").selectOption({ label: name });
  await page.getByRole("button", { name: "Keep as a gauging" }).click();
  await expect(page.getByText("One gauging is in this phone and not with the notebook yet.")).toBeVisible();
  await page.reload();
  await expect(page.getByText("One gauging is in this phone and not with the notebook yet.")).toBeVisible();

  await context.setOffline(false);
  await page.reload();
  await expect(page.getByText("The gauging is with the notebook now.")).toBeVisible();
  await expect(page.getByText("not with the notebook yet")).toHaveCount(0);
  await page.goto(`${path}/site`);
  await expect(page.getByText("Bucket of 0.2\u202FL filled in")).toHaveCount(1);
  await page.goto("/stream");
  await expectFit(page);
});

test("the phone works a gauging out as the notebook does", async ({ page }) => {
  await signIn(page);
  const times = [12.1, 11.8, 12.6];
  const token = page.waitForResponse("**/api/v1/session/refresh");
  await page.goto("/stream");
  const { access_token } = (await (await token).json()) as { access_token: string };
  const answer = await page.request.post("/api/v1/calc/system/bucket", { data: { volume: 0.01, times }, headers: { Authorization: `Bearer ${access_token}` } });
  const { result } = (await answer.json()) as { result: { Q_Ls: number; U95_Ls: number } };
  await page.evaluate((fills) => {
    localStorage.setItem("leat:stream", JSON.stringify({ bucket: "10 L", fall: "", depth: "", began: null, fills: fills.map((s) => ({ s, struck: false })) }));
  }, times);
  await page.reload();
  const L = (q: number) => (60 * q).toPrecision(3);
  await expect(page.locator(".found .big")).toHaveText(`${L(result.Q_Ls)}\u202FL/min ± ${L(result.U95_Ls)}\u202FL/min`);
});
