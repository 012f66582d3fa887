// Checks what the first page weighs: everything that index.html loads, packed
// as it travels. Run after `npm run build`.
import { readFileSync } from "node:fs";
import { gzipSync } from "node:zlib";

const most_kB = 75; // script and style of the first page, compressed
const dist = new URL("dist/", import.meta.url);
const page = readFileSync(new URL("index.html", dist), "utf8");
const files = [...page.matchAll(/(?:src|href)="\/(assets\/[^"]+\.(?:js|css))"/g)].map((m) => m[1]);
if (!files.some((f) => f.endsWith(".js")) || !files.some((f) => f.endsWith(".css"))) {
  console.error("budget: dist/index.html names no script or no style; run `npm run build` first.");
  process.exit(1);
}
let total = 0;
for (const file of files) {
  const packed = gzipSync(readFileSync(new URL(file, dist)), { level: 9 }).length;
  total += packed;
  console.log(`${(packed / 1000).toFixed(1).padStart(7)} kB  ${file}`);
}
console.log(`${(total / 1000).toFixed(1).padStart(7)} kB  first page, at most ${most_kB} kB`);
process.exit(total <= most_kB * 1000 ? 0 : 1);
