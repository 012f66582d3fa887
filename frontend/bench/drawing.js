// Measures how long a drawing takes from its data to the frame that shows it, in
// Chromium, at the processor's own speed and slowed four times: first when it
// appears, then when it changes. "By the clock" is what a person waits; "at work"
// is the time that the page's thread ran, which other programs do not lengthen.
// The processor is slowed by waiting, which only the clock sees. Run: npm run bench
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { chromium } from "@playwright/test";
import { createServer } from "vite";

const goldens = new URL("../../calc/draw/testdata/", import.meta.url);
const drawings = readdirSync(goldens).map((file) => JSON.parse(readFileSync(new URL(file, goldens), "utf8")));
const rounds = 12;

const server = await createServer({ root: new URL("..", import.meta.url).pathname, logLevel: "error", server: { port: 0 } });
await server.listen();
const browser = await chromium.launch({
  executablePath: process.env.LEAT_CHROMIUM ?? ["/usr/bin/chromium-headless-shell", "/usr/bin/chromium"].find((path) => existsSync(path)),
  args: process.getuid?.() === 0 ? ["--no-sandbox", "--disable-gpu"] : ["--disable-gpu"],
});

const middle = (times) => [...times].sort((a, b) => a - b)[Math.floor(times.length / 2)];
const say = (what, { clock, work }) =>
  console.log(`${what.padEnd(38)} by the clock: median ${middle(clock).toFixed(1)} ms, least ${Math.min(...clock).toFixed(1)} ms   at work: mean ${work.toFixed(1)} ms   ${clock.length} runs`);

async function atWork(session) {
  const { metrics } = await session.send("Performance.getMetrics");
  return 1000 * metrics.find((m) => m.name === "TaskDuration").value;
}

async function measure(page, session, props, fresh) {
  const clock = [];
  let before = 0;
  for (let i = 0; i <= rounds; i++) {
    if (i === 1) {
      clock.length = 0; // the first round warms up
      before = await atWork(session);
    }
    for (const drawing of drawings) {
      clock.push(await page.evaluate(([d, p, f]) => (f ? window.clear() : undefined, window.draw(d, p)), [drawing, props, fresh]));
    }
  }
  return { clock, work: ((await atWork(session)) - before) / clock.length };
}

for (const [where, slowed, viewport, props] of [
  ["desk", 1, { width: 900, height: 800 }, {}],
  ["slowed 4 times, whole", 4, { width: 900, height: 800 }, {}],
  ["slowed 4 times, short, phone", 4, { width: 390, height: 740 }, { short: true, height: 200 }],
]) {
  const page = await browser.newPage({ viewport });
  const session = await page.context().newCDPSession(page);
  await page.goto(`${server.resolvedUrls.local[0]}bench/`);
  await page.waitForFunction(() => window.draw);
  await session.send("Performance.enable", { timeDomain: "threadTicks" });
  await session.send("Emulation.setCPUThrottlingRate", { rate: slowed });
  say(`${where}: appears`, await measure(page, session, props, true));
  say(`${where}: changes`, await measure(page, session, props, false));
  await page.close();
}
await browser.close();
await server.close();
