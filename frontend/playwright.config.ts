import { defineConfig } from "@playwright/test";

const url = process.env["LEAT_E2E_URL"];
if (!url) {
  throw new Error("Set LEAT_E2E_URL to the address of a running leat in demo mode, such as http://localhost:8080.");
}

const flags = [
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--disable-dev-shm-usage",
];

/** The walk through the pages in a real browser, against a real server in demo mode. */
export default defineConfig({
  testDir: "e2e",
  timeout: 90_000,
  expect: { timeout: 20_000 },
  forbidOnly: true,
  workers: 1,
  reporter: "list",
  use: {
    baseURL: url,
    screenshot: "only-on-failure",
    launchOptions: {
      executablePath: process.env["LEAT_CHROMIUM"] ?? "/usr/bin/chromium",
      // The sandbox can't start as root; an ordinary user keeps it.
      args: process.getuid?.() === 0 ? ["--no-sandbox", ...flags] : flags,
    },
  },
});
