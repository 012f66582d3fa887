import { expect, test, type Page } from "@playwright/test";
import { demoMember } from "./caller";
import { expectFit, expectHandSized, petra, title } from "./support";
import { certified, enters } from "./tested";

interface Item {
  name: string;
  y: number | null;
  u: number | null;
  nu: number | "inf";
  low: number | null;
  high: number | null;
  predicted: number;
  u_predicted: number;
  [answer: string]: unknown;
}
interface Worked {
  value: number;
  u: number;
  k: number;
  expanded: number;
  lines: { name: string; source: string; signed: number; nu: number | "inf" }[];
}
interface Window {
  window: { from_s: number; to_s: number };
  channels: { quantity: string; counts: boolean; result: Worked | null; found: { mean: { n: number } } | null }[];
}
interface Run {
  outcome: string | null;
  form: { quantities: { name: string; predicted: number | null }[] };
  points: { name: string; windows: Window[] }[];
  judgement: { verdict: { body: { items: Item[]; outcome: Record<string, unknown>; joint: { p: number | null } | null } } | null };
}
interface Kept {
  name: string;
  part_count: number;
  have: number[];
  size: number;
  sha256: string;
  read: { report: { rows: number } } | null;
}

const rows = 130_000;

/** pressureAt is the invented pressure of row i in kPa: it rises to the given one within minutes, and then wavers without any memory. */
const pressureAt = (i: number, kPa: number) => (kPa * (1 - 0.4 * Math.exp(-i / 600)) + kPa * 0.004 * (((i * 7919) % 1009) / 1009 - 0.5)).toFixed(5);

/** recorded is a file of more than two parts: a row each tenth of a second, a decimal comma, one sensor that broke now and then. */
function recorded(kPa: number): string {
  const comma = (n: string) => n.replace(".", ",");
  const lines = Array.from({ length: rows }, (_, i) => `${comma((i / 10).toFixed(1))};${comma(pressureAt(i, kPa))};${i % 1000 === 999 ? "NaN" : comma((12 + (i % 7) / 10).toFixed(5))};kept by the logger`);
  return `time [s];tank [kPa g];air [°C];note [1]\n${lines.join("\n")}\n`;
}

const onItsWay = (page: Page) => page.getByRole("region", { name: /^On its way/ });

test("a logger's file goes to a run from a phone, cut off in the middle; a part of it counts as a reading, and the run ends in the verdict that the calculation gives", async ({ browser, baseURL }) => {
  test.setTimeout(900_000);
  const crew = await demoMember(baseURL, petra);
  const machine = await certified(crew);
  await crew.post(`${machine}/runs`, { title: title("From a logger"), required: ["delivery_pressure_pa"], client_key: title("run").replaceAll(" ", "-") });
  const { items } = await crew.get<{ items: { number: number }[] }>(`${machine}/runs`);
  const path = `${machine}/runs/${items[0]?.number ?? 0}`;
  await crew.post(`${path}/points`, { name: "As drawn", setting: "as_drawn", client_key: "point-000001" });
  const run = () => crew.get<Run>(path);
  const files = async () => (await crew.get<{ items: Kept[] }>(`${path}/files`)).items;
  const promised = (await run()).form.quantities.find((q) => q.name === "delivery_pressure_pa")?.predicted ?? NaN;
  const text = recorded(promised / 1000);

  // The file is chosen on a phone; after its first part the connection breaks.
  const { page, context } = await enters(browser, petra);
  await page.goto(path);
  await page.getByRole("link", { name: /^From loggers/ }).click();
  await expect(page.getByText("The run has no file of a logger yet.")).toBeVisible();
  await expectHandSized(page);
  await page.route("**/parts/2", (r) => r.abort("connectionreset"));
  await page.getByLabel("Choose a file").setInputFiles({ name: "shed.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
  await expect(onItsWay(page)).toContainText("shed.csv is not sent yet.");
  await expect(onItsWay(page)).toContainText("No connection. It goes on by itself");
  await expect(onItsWay(page)).toContainText(/1 of [3-9] parts are with the notebook/);
  await expectFit(page);
  await context.setOffline(true);
  await page.unroute("**/parts/2");
  await page.goto("about:blank"); // the phone is put away, and the page with it
  await context.setOffline(false);
  expect((await files()).map((f) => f.have)).toEqual([[1]]);

  // Taken up again: the page of the run says what is not sent, and it goes on where it was, without a part twice.
  const parts: string[] = [];
  page.on("request", (r) => (r.method() === "PUT" ? parts.push(r.url().replace(/.*\/parts\//, "")) : undefined));
  await page.goto(`${path}/files`);
  await expect(page.getByRole("link", { name: "shed.csv" })).toBeVisible();
  await expect.poll(async () => (await files())[0]?.read?.report.rows).toBe(rows);
  await expect(onItsWay(page)).toHaveCount(0);
  const [kept, ...others] = await files();
  expect(others).toEqual([]);
  expect(parts).toEqual(Array.from({ length: (kept?.part_count ?? 0) - 1 }, (_, i) => String(i + 2)));
  const sum = await crypto.subtle.digest("SHA-256", Buffer.from(text));
  expect(kept?.sha256).toBe(Buffer.from(sum).toString("hex"));
  // Chosen once more it is the same file.
  await page.getByLabel("Choose a file").setInputFiles({ name: "shed.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
  await expect(onItsWay(page)).toHaveCount(0);
  expect((await files()).length).toBe(1);

  // What the reader found, in words; and the chart with the cut.
  await page.getByRole("link", { name: "shed.csv" }).click();
  await expect(page.getByText(/Its numbers have a decimal comma, its columns are parted by semicolons/)).toBeVisible();
  await expect(page.getByText(/130 rows of 130.000 have no number here: NaN/)).toBeVisible(); // each thousandth, by hand
  await expect(page.getByRole("region", { name: "The numbers of tank" })).toContainText("Steady.");
  await expect(page.getByRole("figure", { name: "tank" })).toContainText(/The start, up to .*, is not counted\. Steady from/);
  await expectHandSized(page);
  await expectFit(page);

  // A part of it is taken: first with something missing, then as a reading of the point.
  await page.getByRole("button", { name: "In: half as long" }).click();
  await expect(page.getByRole("region", { name: "The numbers of tank" })).toBeVisible();
  await page.getByRole("button", { name: "Take the part that is shown as a reading …" }).click();
  await expect(page.getByLabel(/^From/)).not.toHaveValue("");
  const of = page.getByRole("group", { name: "tank", exact: true });
  await of.getByLabel("What it measures").selectOption({ label: "Delivery pressure, gauge" });
  await page.getByRole("button", { name: "Take it as a reading" }).click();
  await expect(page.getByRole("alert")).toContainText("Choose the instrument that the logger reads");
  await of.getByLabel("With which instrument").selectOption({ index: 1 });
  await page.getByRole("button", { name: "Take it as a reading" }).click();
  await expect(page.getByText("Taken. It stands with its point on the page of the run.")).toBeVisible();
  await expectFit(page);
  const taken = (await run()).points[0]?.windows ?? [];
  expect(taken.length).toBe(1);
  const [channel] = taken[0]?.channels ?? [];
  expect([channel?.quantity, channel?.counts]).toEqual(["delivery_pressure_pa", true]);

  // By hand: the mean of the rows of the file that lie in the window.
  const { from_s = NaN, to_s = NaN } = taken[0]?.window ?? {};
  const inside = Array.from({ length: rows }, (_, i) => i).filter((i) => i / 10 >= from_s - 1e-6 && i / 10 <= to_s + 1e-6);
  const mean = inside.reduce((s, i) => s + 1000 * Number(pressureAt(i, promised / 1000)), 0) / inside.length;
  expect(channel?.found?.mean.n).toBe(inside.length);
  expect((channel?.result?.value ?? NaN) / mean).toBeCloseTo(1, 9);

  // Its uncertainty is what the calculation makes of the same lines.
  const components = (channel?.result?.lines ?? []).map((l) => ({ kind: "standard", name: l.name, u: Math.abs(l.signed), sens: l.signed < 0 ? -1 : 1, nu: l.nu, ...(l.source ? { source: l.source } : {}) }));
  const { result: budget } = await crew.ask<{ result: { u: number; k: number; U: number } }>("/calc/evidence/budget", { value: channel?.result?.value, components });
  expect(budget.u / (channel?.result?.u ?? NaN)).toBeCloseTo(1, 12);
  expect(budget.k / (channel?.result?.k ?? NaN)).toBeCloseTo(1, 12);
  expect(budget.U / (channel?.result?.expanded ?? NaN)).toBeCloseTo(1, 12);

  // The run is submitted, and its verdict is that of the calculation for the same numbers.
  await page.goto(path);
  await expect(page.getByRole("region", { name: "From loggers" })).toContainText("Delivery pressure, gauge");
  await expectFit(page);
  await page.getByRole("button", { name: "Submit this run …" }).click();
  await expect(page.getByText("Nothing is read yet")).toHaveCount(0);
  await page.getByRole("button", { name: "Submit it for good" }).click();
  await expect(page.getByRole("heading", { name: "Verdict", exact: true })).toBeVisible({ timeout: 600_000 });
  const done = await run();
  const judged = (done.judgement.verdict?.body.items ?? []).filter((i) => i.y !== null);
  expect(judged.map((i) => i.name)).toContain("delivery_pressure_pa");
  const whole: unknown[] = [];
  for (const i of judged) {
    const { result } = await crew.ask<{ result: Record<string, unknown> }>("/calc/evidence/verdict", { y: i.y, u: i.u, nu: i.nu, lower: i.low, upper: i.high, pred: i.predicted, u_pred: i.u_predicted });
    expect(Object.keys(result).length).toBeGreaterThan(3);
    for (const [field, value] of Object.entries(result)) {
      expect([i.name, field, i[field]]).toEqual([i.name, field, value]);
    }
    whole.push({ name: i.name, outcome: result["outcome"], p_tail: 1 - Math.max(Number(result["p_low"]), Number(result["p_high"])), required: i["required"] });
  }
  const { result: all } = await crew.ask<{ result: Record<string, unknown> }>("/calc/evidence/build_verdict", { items: whole, chi2_p: done.judgement.verdict?.body.joint?.p ?? null });
  const said = done.judgement.verdict?.body.outcome;
  expect([said?.["outcome"], said?.["reason"]]).toEqual([all["outcome"], all["reason"]]);
  await expect(page.locator(".verdict .loud")).toHaveText((done.outcome ?? "").replaceAll("_", " "));
});

test("a logger is made with a token that is shown once and opens one door, and is revoked; what it sent is taken as a reading", async ({ browser, baseURL }) => {
  const crew = await demoMember(baseURL, petra);
  const machine = await certified(crew);
  await crew.post(`${machine}/runs`, { title: title("Sent by itself"), required: ["delivery_pressure_pa"], client_key: title("run").replaceAll(" ", "-") });
  const { items } = await crew.get<{ items: { number: number }[] }>(`${machine}/runs`);
  const run = `${machine}/runs/${items[0]?.number ?? 0}`;
  await crew.post(`${run}/points`, { name: "As drawn", setting: "as_drawn", client_key: "point-000002" });
  const { page } = await enters(browser, petra);
  await page.goto(machine);
  await page.getByRole("link", { name: "Its loggers" }).click();
  const name = title("Float");
  await page.getByLabel("What you call it").fill(name);
  await page.getByRole("button", { name: "Make it" }).click();
  await expect(page.getByText("It is shown this once.")).toBeVisible();
  await expectFit(page);
  await expectHandSized(page);

  // The request is sent as it is shown.
  const request = await page.getByLabel("The request, as it goes over the line").textContent();
  const [head = "", body = ""] = (request ?? "").split("\n\n");
  const token = /Bearer (.+)/.exec(head)?.[1] ?? "";
  const [method = "", path = ""] = head.split(" ");
  const send = (at: string, text = body) => fetch(new URL(at, baseURL), { method, headers: { Authorization: `Bearer ${token}`, "Content-Type": "application/json" }, body: text });
  const kept = await send(path);
  expect(kept.status, await kept.clone().text()).toBe(201);
  expect(await kept.json()).toMatchObject({ kept: 4, missing: 1 }); // two rows of two, one null
  expect((await send(path)).status).toBe(200);
  expect((await send(`/api/v1${machine}/loggers`)).status).toBe(401);
  const begun = Date.now();
  const more = Array.from({ length: 200 }, (_, i) => [new Date(begun + 60_000 + i * 1000).toISOString(), Number(pressureAt(i + 6000, 40)) / 100, null]);
  expect((await send(path, JSON.stringify({ client_key: "batch-000002", channels: [{ name: "tank", unit: "bar g" }, { name: "air", unit: "°C" }], rows: more }))).status).toBe(201);

  await page.reload();
  await expect(page.getByText("It is shown this once.")).toHaveCount(0);
  expect(await page.content()).not.toContain(token);
  await expect(page.getByRole("listitem").filter({ hasText: name })).toContainText("Heard last");
  await page.getByRole("button", { name: `Revoke ${name}` }).click();
  await page.getByRole("button", { name: "Revoke it for good" }).click();
  await expect(page.getByRole("listitem").filter({ hasText: name })).toContainText("may send no more");
  expect((await send(path)).status).toBe(401);

  // What it sent stands in the run that was open, also now that it may send no more.
  await page.goto(`${run}/files`);
  await expect(page.getByRole("listitem").filter({ hasText: name })).toContainText("Sent: tank, air.");
  await expectFit(page);
  await page.getByRole("link", { name }).click();
  await expect(page.getByRole("listitem").filter({ hasText: "tank" })).toContainText("in bar g, gauge: 202 values"); // two of the first, 200 of the second
  await expect(page.getByRole("region", { name: "The numbers of tank" })).toBeVisible();
  await expectHandSized(page);
  await page.getByRole("button", { name: "In: half as long" }).click();
  await page.getByRole("button", { name: "Take the part that is shown as a reading …" }).click();
  await page.getByRole("group", { name: "tank", exact: true }).getByLabel("What it measures").selectOption({ label: "Nothing of the run: only look whether it is steady" });
  await page.getByRole("button", { name: "Take it as a reading" }).click();
  await expect(page.getByText("Taken. It stands with its point on the page of the run.")).toBeVisible();
  await expectFit(page);
  await page.goto(run);
  await page.getByRole("region", { name: "From loggers" }).getByRole("link", { name: "what a logger sent" }).click();
  await expect(page.getByRole("heading", { name, level: 1 })).toBeVisible();
});
