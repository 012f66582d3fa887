import { existsSync } from "node:fs";
import { defineConfig } from "@playwright/test";

// A worker reads this file too, and knows its number.
const urls = (process.env["LEAT_E2E_URL"] ?? "").split(" ");
const url = urls[Number(process.env["TEST_PARALLEL_INDEX"] ?? 0)];
if (!url) {
  throw new Error("Set LEAT_E2E_URL to the address of a running leat in demo mode, such as http://localhost:8080, or to one for each worker.");
}

// Chromium without windows takes half the time.
const bare = "/usr/bin/chromium-headless-shell";
const flags = [
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--disable-dev-shm-usage",
];

const long = /(drawing|keeping|logger|reckoner|test)\.spec\.ts/;

/** The walk through the pages in a real browser, against a real server in demo mode: one for each worker. */
export default defineConfig({
  testDir: "e2e",
  timeout: 90_000,
  expect: { timeout: 20_000 },
  forbidOnly: true,
  workers: urls.length,
  reporter: "list",
  // The longest first, so that no worker ends with one of them.
  projects: [
    { name: "long", testMatch: long },
    { name: "short", testIgnore: long },
  ],
  use: {
    baseURL: url,
    screenshot: "only-on-failure",
    launchOptions: {
      executablePath: process.env["LEAT_CHROMIUM"] ?? (existsSync(bare) ? bare : "/usr/bin/chromium"),
      // The sandbox can't start as root; an ordinary user keeps it.
      args: process.getuid?.() === 0 ? ["--no-sandbox", ...flags] : flags,
    },
  },
});
