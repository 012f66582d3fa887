import { expect, test, type Locator, type Page } from "@playwright/test";
import { signIn } from "./support";

/** hrefs lists where the links of a page lead that begin with one address and go on. */
async function hrefs(page: Page, address: RegExp): Promise<string[]> {
  await expect(page.locator("main a").first()).toBeVisible();
  const all = await page.locator("main a").evaluateAll((links) => links.map((a) => new URL((a as HTMLAnchorElement).href).pathname));
  return [...new Set(all.filter((path) => address.test(path)))];
}

/** The demo's projects are the first of the notebook; what other tests start comes after them. */
const demo = /^\/projects\/[1-7]$/;

/** designs are the addresses of all designs of the demo group. */
async function designs(page: Page): Promise<string[]> {
  const found: string[] = [];
  await expect(page.getByRole("main").getByRole("link").nth(3)).toBeVisible();
  for (const project of await hrefs(page, demo)) {
    await page.goto(project);
    await expect(page.getByRole("heading", { name: "Design", exact: true })).toBeVisible();
    found.push(...(await hrefs(page, /\/designs\/\d+$/)));
  }
  return found;
}

/**
 * collisions measures a drawing as the browser has laid it out: every text
 * against every other, every line and area, and the edge of the drawing.
 */
function collisions(drawing: Locator): Promise<string[]> {
  return drawing.evaluate((svg) => {
    const near = 0.5; // px
    const edge = svg.getBoundingClientRect();
    const texts = [...svg.querySelectorAll("tspan, text:not(:has(tspan))")].map((t) => ({ of: t.closest("text"), says: t.textContent, box: t.getBoundingClientRect() }));
    const found = texts.length > 0 ? [] : ["no text at all"];
    const inside = (box: DOMRect, x: number, y: number) => x > box.left + near && x < box.right - near && y > box.top + near && y < box.bottom - near;
    for (const { of, says, box } of texts) {
      if (box.left < edge.left - near || box.right > edge.right + near || box.top < edge.top - near || box.bottom > edge.bottom + near) {
        found.push(`“${says}” leaves the drawing`);
      }
      for (const other of texts) {
        const o = other.box;
        if (other.of !== of && box.left < o.right - near && o.left < box.right - near && box.top < o.bottom - near && o.top < box.bottom - near) {
          found.push(`“${says}” on “${other.says}”`);
        }
      }
    }
    const marks = [...svg.querySelectorAll<SVGGeometryElement>("path, circle, rect")].filter((m) => !m.closest("defs, .handles") && !/bubble|selection/.test(m.getAttribute("class") ?? ""));
    for (const mark of marks) {
      const to = mark.getScreenCTM();
      const length = mark.getTotalLength();
      for (let along = 0; to && along <= length; along += 3) {
        const { x, y } = mark.getPointAtLength(along).matrixTransform(to);
        const hit = texts.find(({ box }) => inside(box, x, y));
        if (hit) {
          found.push(`a line (${mark.getAttribute("class") ?? "area"}) through “${hit.says}”`);
          break;
        }
      }
      const frame = /danger/.test(mark.getAttribute("class") ?? "");
      const lies = texts.find(({ box }) => {
        const middle = new DOMPoint((box.left + box.right) / 2, (box.top + box.bottom) / 2).matrixTransform(to?.inverse());
        return !frame && getComputedStyle(mark).fill !== "none" && mark.isPointInFill(middle);
      });
      if (lies) {
        found.push(`“${lies.says}” lies on an area (${mark.getAttribute("class") ?? "hatch"})`);
      }
    }
    return found;
  });
}

test("no label crosses a line, a label or the frame, in any demo design at any width", async ({ page }) => {
  test.setTimeout(240_000);
  await signIn(page);
  const all = await designs(page);
  expect(all.length).toBeGreaterThan(4);
  for (const design of all) {
    await page.setViewportSize({ width: 1280, height: 900 });
    await page.goto(design);
    for (const width of [1280, 768, 390, 320]) {
      await page.setViewportSize({ width, height: 900 });
      const drawing = page.locator(width < 768 ? ".sheet-drawing .drawing.short > svg" : ".sheet-drawing .drawing:not(.short) > svg");
      await expect(drawing).toBeVisible();
      expect.soft(await collisions(drawing), `${design}, ${width} px`).toEqual([]);
      if (width < 768) {
        const whole = page.locator(".whole .drawing > svg").first();
        if (!(await whole.isVisible())) {
          await page.getByText("The whole drawing").click();
        }
        await expect(whole).toBeVisible();
        expect.soft(await collisions(whole), `${design}, whole, ${width} px`).toEqual([]);
      }
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      expect.soft(over, `${design}: sideways scroll at ${width} px`).toBe(0);
    }
  }
});

/** extent is the size of a line as it stands on the page, in CSS pixels, without its thickness. */
function extent(line: Locator): Promise<{ width: number; height: number }> {
  return line.evaluate((e) => {
    const { width, height } = (e as SVGGeometryElement).getBBox();
    const to = (e as SVGGeometryElement).getScreenCTM();
    return { width: width * (to?.a ?? 0), height: height * (to?.d ?? 0) };
  });
}

const millimetre = 96 / 25.4; // CSS pixels, by the definition of both

test("a rule laid on the print measures the rise, on A4 and on Letter", async ({ page }) => {
  await signIn(page);
  await page.goto("/projects");
  const [design] = await designs(page);
  await page.goto(design ?? "");
  const lip = Number(await page.getByRole("textbox", { name: "Level of the riser’s lip", exact: true }).inputValue());
  const outlet = Number(await page.getByRole("textbox", { name: "Level at which the water leaves", exact: true }).inputValue());
  expect(outlet).toBeGreaterThan(lip);
  await page.emulateMedia({ media: "print" });
  for (const between of [210 - 2 * 14, 215.9 - 2 * 14]) {
    // What is wider than the paper between its margins would be shrunk by the browser.
    await page.setViewportSize({ width: Math.floor(between * millimetre), height: 950 });
    const rise = page.locator(".on-paper [data-dimension=dim-rise]");
    await expect(rise).toBeVisible();
    const scale = /1:(\d+)/.exec(await page.locator(".title-block:visible").innerText())?.[1] ?? "";
    expect(scale).toMatch(/^[125]0*$/); // the scales of ISO 5455, from memory
    expect((await extent(rise)).height / millimetre).toBeCloseTo(((outlet - lip) * 1000) / Number(scale), 1);
    expect((await extent(page.locator(".paper-rule .rule"))).width / millimetre).toBeCloseTo(50, 1);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    expect(over).toBe(0);
  }
});
