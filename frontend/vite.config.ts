import { createHash } from "node:crypto";
import { defineConfig } from "vitest/config";
import type { Plugin } from "vite";

const signing = ["src/words.test.ts", "src/api/client.test.ts", "src/outbox/outbox.test.ts", "src/pages/series/Sent.test.tsx"];

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
    restoreMocks: true,
    unstubGlobals: true,
    // Making a jsdom for each file takes ten times as long as the tests. Only those
    // that sign somebody in have one of their own: modules keep who it is.
    projects: [
      { extends: true, test: { name: "shared", include: ["src/**/*.test.{ts,tsx}"], exclude: signing, isolate: false } },
      { extends: true, test: { name: "signing", include: signing } },
    ],
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
