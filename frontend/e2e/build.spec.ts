import { join } from "node:path";
import { expect, test, type Page } from "@playwright/test";
import { demoMember, type Caller } from "./caller";
import { expectFit, expectHandSized, petra, signIn, title } from "./support";

/** A trompe of 5 m of fall, invented, with what it is built from. */
const machine = {
  trompe: {
    supply: { type: "forebay", level_m: 5 },
    intake: { mouth_m: 4.8, n_tubes: 32, tube_id_m: 0.006, tube_od_m: 0.008, tube_length_m: 0.4 },
    downcomer: { bore_m: 0.0816, outlet_m: -0.05 },
    chamber: { kind: "horizontal", bore_m: 0.3, length_m: 1.6, floor_m: -0.1, lip_m: 0, high_m: 0.05 },
    riser: { bore_m: 0.152, outlet_m: 3 },
  },
  parts: [
    { role: "chamber", name: "drum", line: "iso-4427-2/pe100-sdr17/d250-pn10", joint: "fusion", gas_statement: true, location: "guarded", length_m: 1.6 },
    { role: "downcomer", line: "en-iso-1452-2/s8-sdr17/d90-pn12.5", joint: "solvent" },
    { role: "riser", line: "en-iso-1452-2/s8-sdr17/d110-pn16", joint: "solvent" },
  ],
  facts: { t_hot_c: 20, t_cold_c: 6, site: { shaft: false, digging: false } },
};

const key = () => title("key").replace(/\W/g, "-");

/** clear issues a revision, and two checkers clear it. */
async function clear(baseURL: string | undefined, crew: Caller, revision: string, etag: string): Promise<string> {
  let last = await crew.post(`${revision}/issue`, { sheet: 1, note: "", ask: [] }, etag);
  for (const name of ["Bram Oduya", "Tomasz Reyes"]) {
    const checker = await demoMember(baseURL, name);
    last = await checker.post(`${revision}/outcomes`, { outcome: "clear", note: "", password: checker.password }, last.etag);
  }
  return last.etag;
}

/** clearedProject makes a project with a design whose revision A is cleared. */
async function clearedProject(baseURL: string | undefined, crew: Caller) {
  const { id: project } = await crew.post("/projects", { title: title("Air for the forge"), purpose: "", client_key: key() });
  const { id: design, etag } = await crew.post(`/projects/${project}/designs`, { title: "Long riser", client_key: key() });
  const saved = await crew.post(`/projects/${project}/designs/${design}/revisions/A/sheets`, { input: machine }, etag);
  return { project, design, etag: await clear(baseURL, crew, `/projects/${project}/designs/${design}/revisions/A`, saved.etag) };
}

/** built makes a machine of a cleared design, and answers the path of its page. */
async function built(crew: Caller, { project, design }: { project: number; design: number }): Promise<string> {
  const { id } = await crew.post(`/projects/${project}/builds`, { title: "Mill trompe", design, letter: "A", place: "Below the mill", client_key: key() });
  return `/projects/${project}/builds/${id}`;
}

/** photograph makes a picture as large as a phone takes one. */
async function photograph(page: Page, width: number, height: number) {
  const data = await page.evaluate(
    ([w, h]) => {
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [w, h];
      const pen = canvas.getContext("2d");
      pen?.fillRect(w / 4, h / 4, w / 2, h / 2);
      return canvas.toDataURL("image/jpeg").split(",")[1] ?? "";
    },
    [width, height] as const,
  );
  return { name: "joint.jpg", mimeType: "image/jpeg", buffer: Buffer.from(data, "base64") };
}

test("a machine is started from a cleared revision, and a longer riser is entered on a phone", async ({ page, baseURL }) => {
  await page.setViewportSize({ width: 360, height: 740 });
  const crew = await demoMember(baseURL, petra);
  const { project } = await clearedProject(baseURL, crew);
  await signIn(page);
  await page.goto(`/projects/${project}`);
  await page.getByRole("link", { name: "Start a build" }).click();
  await page.getByLabel("Name of the machine").fill("Mill trompe");
  await page.getByRole("button", { name: "Start the build" }).click();
  await expect(page.getByRole("alert")).toContainText("Say where it will stand.");
  await page.getByLabel("Where it stands").fill("Below the mill, left bank");
  await expectHandSized(page);
  await expectFit(page);
  await page.getByRole("button", { name: "Start the build" }).click();
  await expect(page.getByRole("heading", { name: "Mill trompe", level: 1 })).toBeVisible();
  await expect(page.getByRole("region", { name: "Certificate" })).toContainText("it must not be under pressure");
  await expect(page.getByText("It stands as sheet A.1 says.")).toBeVisible();
  await expectHandSized(page);
  await expectFit(page);
  const path = new URL(page.url()).pathname;

  await page.getByRole("link", { name: "Record what differs or was renewed" }).click();
  await page.getByLabel("What differs?").selectOption({ label: "Level at which the water leaves" });
  const riser = page.getByLabel("Riser: level at which the water leaves");
  await expect(riser).toBeFocused();
  await riser.fill("3,4 m");
  const effect = page.getByRole("region", { name: "What the differences do" });
  // 0.40 m less of fall stands between the levels of 5 m and of 3.4 m.
  await effect.getByText("All answers that are compared").click();
  await expect(effect.getByRole("row", { name: /^Fall used/ })).toContainText("−0.40");
  await expectHandSized(page);
  await expectFit(page);
  await page.reload();
  await expect(riser).toHaveValue("3,4 m");
  await page.getByLabel("Why").fill("The wall of the race was higher than drawn.");
  await page.getByRole("button", { name: "Record it" }).click();
  await expect(page.getByRole("row", { name: /Riser: level at which the water leaves/ })).toContainText("3.4");
  await page.getByText("How it came to stand as it does").click();
  await expect(page.getByText("“The wall of the race was higher than drawn.”")).toBeVisible();
  await expectFit(page);

  // The pressure would be more than the parts were cleared for.
  await page.goto(`${path}/change`);
  await page.getByLabel("What else differs?").selectOption({ label: "Water level" });
  await page.getByLabel(/water level$/).fill("80 m");
  await page.getByLabel("Riser: level at which the water leaves").fill("75 m");
  await page.getByRole("button", { name: "Record it" }).click();
  await expect(page.getByRole("alert").first()).toContainText("Nothing was saved");
  await expect(page.getByLabel(/water level$/)).toHaveValue("80 m");

  await page.goto(path);
  await page.getByRole("button", { name: "It is built" }).click();
  await page.getByRole("button", { name: "It is built" }).click();
  await expect(page.getByRole("alert")).toContainText("Say in a few words why");
  await page.getByLabel("Reason").fill("Last joint made.");
  await page.getByRole("button", { name: "It is built" }).click();
  await expect(page.getByText("“Last joint made.”").first()).toBeVisible();
  await expect(page.getByText("It goes into service only with a valid certificate.")).toBeVisible();
  await page.getByRole("button", { name: "Add a builder" }).click();
  await page.getByLabel("Or the name of somebody without an account").fill("Old Maren");
  await page.getByRole("button", { name: "Add to the builders" }).click();
  await expect(page.getByRole("region", { name: "Builders" })).toContainText("Old Maren");
});

test("a machine is rebuilt to a later revision that was cleared, and its differences begin anew", async ({ page, baseURL }) => {
  await page.setViewportSize({ width: 360, height: 740 });
  const crew = await demoMember(baseURL, petra);
  const cleared = await clearedProject(baseURL, crew);
  const path = await built(crew, cleared);
  await signIn(page);
  await page.goto(`${path}/rebuild`);
  await expect(page.getByText("There is no other cleared revision.")).toBeVisible();
  await page.goto(`${path}/change`);
  await page.getByLabel("Riser, part 3: its joint").check();
  await page.getByLabel("Where it stands").fill("Behind the mill");
  await page.getByRole("button", { name: "Record it" }).click();
  await expect(page.getByText("Renewed like for like: Riser, part 3: its joint.")).toBeVisible();
  await expect(page.getByText("Moved once.")).toBeVisible();

  const design = `/projects/${cleared.project}/designs/${cleared.design}`;
  const { etag } = await crew.post(`${design}/revisions`, {}, cleared.etag);
  await clear(baseURL, crew, `${design}/revisions/B`, etag);
  await page.goto(path);
  await expect(page.getByText("A later revision was cleared since.")).toBeVisible();
  await page.getByRole("link", { name: "Rebuild to another revision" }).click();
  await expect(page.getByLabel("It was rebuilt to")).toHaveValue(`${cleared.design}.B`);
  await expectHandSized(page);
  await expectFit(page);
  await page.getByRole("button", { name: "Record the rebuild" }).click();
  await expect(page.getByText("It stands as sheet B.1 says.")).toBeVisible();
  await page.getByText("How it came to stand as it does").click();
  await expect(page.getByText("Rebuilt to revision B.")).toBeVisible();
});

test("an entry with a picture, written without signal, survives a reload and is there once", async ({ page, context, baseURL }) => {
  await page.setViewportSize({ width: 360, height: 740 });
  const crew = await demoMember(baseURL, petra);
  const path = await built(crew, await clearedProject(baseURL, crew));
  const log = `${path.replace(/\/builds.*/, "")}/log`;
  await signIn(page);
  await page.goto(path);
  await page.getByRole("link", { name: "Write or read its log" }).click();
  const text = page.getByLabel("What happened, what was done");
  await text.fill("Joint 3 weeps at the lower end.");
  await page.getByLabel("Add pictures or files").setInputFiles(await photograph(page, 4000, 3000));
  await expect(page.getByText("joint.jpg")).toBeVisible();
  await expectHandSized(page);
  await expectFit(page);

  await page.reload();
  await expect(text).toHaveValue("Joint 3 weeps at the lower end.");
  await expect(page.getByText("joint.jpg")).toBeVisible();
  await context.setOffline(true);
  await page.getByRole("button", { name: "Write it into the log" }).click();
  const unsent = page.getByRole("region", { name: "Not sent yet" });
  await expect(unsent).toContainText("2 things are in this browser only.");
  await expect(unsent).toContainText("Joint 3 weeps at the lower end.");
  await expect(text).toHaveValue("");
  await expectFit(page);
  await page.reload().catch(() => undefined); // cut off altogether where the page was not kept
  await context.setOffline(false);
  await page.goto(`${path}/log`);
  const entry = page.getByRole("list", { name: "Entries, the newest first" }).getByRole("listitem").first();
  await expect(entry).toContainText("Joint 3 weeps at the lower end.");
  await expect(unsent).toHaveCount(0);

  const { items } = await crew.get<{ items: { text: string; files: { width: number; height: number }[] }[] }>(log);
  expect(items.map((e) => e.text)).toEqual(["Joint 3 weeps at the lower end."]);
  expect(items[0]?.files).toMatchObject([{ width: 2560, height: 1920 }]);
  await entry.getByRole("button", { name: "Open joint.jpg" }).click();
  const opened = page.getByRole("dialog").getByRole("img");
  await expect(opened).toBeVisible();
  expect(await opened.evaluate((i) => (i as HTMLImageElement).naturalWidth)).toBe(2560);
  await expectFit(page);
  await page.getByRole("button", { name: "Close" }).click();

  await entry.getByRole("button", { name: /^Correct it/ }).click();
  await page.getByLabel("How it was").fill("It was joint 4.");
  await page.getByRole("button", { name: "Write the correction" }).click();
  await expect(page.getByText("Struck through:")).toBeVisible();
  await expect(page.locator("s")).toHaveText("Joint 3 weeps at the lower end.");
  await page.getByRole("button", { name: /^Mark as an incident/ }).first().click();
  await page.getByRole("dialog").getByRole("button", { name: "Mark as an incident" }).click();
  await expect(page.getByText("keep the pressure off")).toBeVisible();
  await expectHandSized(page);
  await expectFit(page);
});

test("a steward who did not build it signs that an incident did no harm, and the keeper agrees to hide a picture", async ({ page, baseURL }) => {
  const crew = await demoMember(baseURL, petra);
  const path = await built(crew, await clearedProject(baseURL, crew));
  await signIn(page);
  await page.goto(`${path}/log`);
  await page.getByLabel("What happened, what was done").fill("A branch fell on the drum.");
  await page.getByLabel("It is an incident").check();
  await page.getByLabel("Add pictures or files").setInputFiles(await photograph(page, 400, 300));
  await page.getByRole("button", { name: "Write it into the log" }).click();
  await expect(page.getByRole("button", { name: "Open joint.jpg" })).toBeVisible();
  await expect(page.getByRole("button", { name: "Sign that it did no harm" })).toHaveCount(0);

  const steward = await demoMember(baseURL, "Bram Oduya");
  await page.context().clearCookies();
  await signIn(page, "Bram Oduya");
  await page.goto(`${path}/log`);
  await page.getByRole("button", { name: "Sign that it did no harm" }).click();
  await page.getByLabel("What was looked at, and why it did no harm").fill("Drum and joints looked at, no mark.");
  await page.getByLabel("Password of Bram Oduya").fill(steward.password);
  await page.getByRole("button", { name: "Sign", exact: true }).click();
  await expect(page.getByText("signed on")).toContainText("Drum and joints looked at, no mark.");
  await hide(page, "It must be hidden", "A face.", "Ask to hide it", "Bram Oduya", steward.password);
  await expect(page.getByRole("dialog")).toContainText("Asked that it be hidden: Bram Oduya");

  const keeper = await demoMember(baseURL, "Ines Calloway");
  await page.context().clearCookies();
  await signIn(page, "Ines Calloway");
  await page.goto(`${path}/log`);
  await hide(page, "Agree that it is hidden", "A face.", "Hide it for good", "Ines Calloway", keeper.password);
  await expect(page.getByRole("dialog")).toContainText("Its content is gone.");
  await expectFit(page);
});

async function hide(page: Page, open: string, why: string, word: string, name: string, password: string) {
  await page.getByRole("button", { name: "Open joint.jpg" }).click();
  await page.getByRole("button", { name: open }).click();
  await page.getByLabel("Why it must go").fill(why);
  await page.getByLabel(`Password of ${name}`).fill(password);
  await page.getByRole("button", { name: word }).click();
}

test("a label is printed whose code leads to the machine, and that says not to pressurise it", async ({ page, baseURL }) => {
  const crew = await demoMember(baseURL, petra);
  const path = await built(crew, await clearedProject(baseURL, crew));
  const { tag, label } = await crew.get<{ tag: number; label: { url: string } }>(path);
  await signIn(page);
  await page.goto(`${path}/label`);
  const printed = page.getByRole("region", { name: `Label of machine No. ${tag}` });
  await expect(printed).toContainText("Do not pressurise");
  await expect(printed.getByRole("img")).toHaveAccessibleName(`QR code that leads to ${label.url}`);
  await expectFit(page);
  await page.emulateMedia({ media: "print" });
  await expect(page.getByRole("button", { name: "Print the label" })).toBeHidden();
  await expect(printed).toBeVisible();
  const code = await printed.getByRole("img").boundingBox();
  expect(code?.width ?? 0).toBeGreaterThan(160); // 45 mm at 96 px to the inch is 170
  const pictures = process.env["LEAT_PICTURES"];
  if (pictures) {
    await page.pdf({ path: join(pictures, "label-a4.pdf"), format: "A4" });
    await page.pdf({ path: join(pictures, "label-letter.pdf"), format: "Letter" });
  }
  await page.emulateMedia({ media: "screen" });

  // The same label while a certificate holds.
  await page.route(`**/api/v1${path}`, async (r) => {
    const answer = await r.fetch();
    await r.fulfill({ response: answer, json: { ...((await answer.json()) as object), certificate: { valid: true, reasons: [] } } });
  });
  await page.route(`**/api/v1${path}/certificate?*`, (r) =>
    r.fulfill({ json: { certificate: { id: 12, valid: true, expires_on: "2027-05-01", body: { p_work_bar: 0.3 } }, ready: null, lacking: "", items: [], next: null, allowed_actions: [] } }),
  );
  await page.reload();
  await expect(printed).toContainText("Working pressure, at most 0.3\u202Fbar");
  await expect(printed).toContainText("Certificate no. 12, good until the end of 1\u00a0May\u00a02027.");
  await expect(printed.getByText("Do not pressurise", { exact: true })).toHaveCount(0);
  await page.unrouteAll();
  await page.goto(new URL(label.url).pathname);
  await expect(page).toHaveURL(new RegExp(`${path}$`));
  await expect(page.getByRole("heading", { name: "Mill trompe", level: 1 })).toBeVisible();
});
