import { createHash } from "node:crypto";
import { defineConfig } from "vitest/config";
import type { Plugin } from "vite";

// The server's content policy allows no inline script or style and no data:
// pictures, so nothing is inlined and no preload polyfill is written.
export default defineConfig({
  plugins: [namesInWorker()],
  build: {
    rolldownOptions: {
      input: { main: "index.html", worker: "src/worker.ts" },
      output: { entryFileNames: (chunk) => (chunk.name === "worker" ? "worker.js" : "assets/[name]-[hash].js") },
    },
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

/** Tells the service worker the files of its build: what it is to keep. */
function namesInWorker(): Plugin {
  return {
    name: "names-in-worker",
    enforce: "post",
    generateBundle(_, bundle) {
      const files = Object.keys(bundle).filter((f) => f.startsWith("assets/")).sort().map((f) => `/${f}`);
      const page = bundle["index.html"];
      const release = createHash("sha256").update(JSON.stringify([files, page?.type === "asset" ? String(page.source) : ""])).digest("hex").slice(0, 12);
      const worker = bundle["worker.js"];
      if (worker?.type === "chunk") {
        worker.code = `const built = ${JSON.stringify({ release, files: ["/mark.svg", ...files] })};\n${worker.code}`;
      }
    },
  };
}
