import { defineConfig } from "vitest/config";

// The server's content policy allows no inline script or style and no data:
// pictures, so nothing is inlined and no preload polyfill is written.
export default defineConfig({
  build: {
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: "es2022",
  },
  server: {
    proxy: { "/api": process.env["LEAT_API"] ?? "http://localhost:8080" },
  },
  test: {
    environment: "jsdom",
    include: ["src/**/*.test.{ts,tsx}"],
    restoreMocks: true,
    unstubGlobals: true,
  },
});
