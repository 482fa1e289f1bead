// Makes the page: one HTML file with its style, its script and the engine inside.
//   node build.mjs <engine.wasm> <out.html> [folder of the npm package]
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";

import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const [engine, out, npm = join(here, "../npm")] = process.argv.slice(2);
if (!engine || !out) {
  console.error("usage: node build.mjs <engine.wasm> <out.html> [folder of the npm package]");
  process.exit(2);
}

const common = { bundle: true, minify: true, write: false, target: "es2022", charset: "utf8", logLevel: "warning" };

async function bundled(entry, more = {}) {
  const { outputFiles } = await build({ ...common, entryPoints: [entry], ...more });
  return outputFiles[0].text.trim();
}

const worker = await bundled(join(npm, "worker.js"), { format: "iife" });
const script = await bundled(join(here, "src/main.ts"), {
  format: "iife",
  alias: { moulder: resolve(npm, "moulder.js") },
  define: {
    WORKER_TEXT: JSON.stringify(worker),
    // The package looks beside itself for files that stand inside this page.
    "import.meta.url": "location.href",
  },
  legalComments: "inline",
});
const style = await bundled(join(here, "src/style.css"));
const { version } = JSON.parse(readFileSync(join(npm, "package.json"), "utf8"));

if (/<\/(script|style)/i.test(script) || /<\/style/i.test(style)) {
  throw new Error("the script or the style would end its element");
}

const escaped = (text) => text.replaceAll("&", "&amp;").replaceAll("<", "&lt;");
const hash = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
const policy = [
  "default-src 'none'",
  `script-src ${hash(script)} 'wasm-unsafe-eval'`,
  "worker-src blob:",
  `style-src ${hash(style)}`,
  "img-src data: blob:",
  "connect-src 'none'",
  "base-uri 'none'",
  "form-action 'none'",
].join("; ");

const parts = {
  POLICY: policy,
  STYLE: style,
  SCRIPT: script,
  VERSION: version,
  // Those whose figures are inside ask to be named.
  CREDITS: escaped(readFileSync(join(npm, "LICENSE-DATA"), "utf8").trim()),
  ENGINE: gzipSync(readFileSync(engine), { level: 9 }).toString("base64"),
};
const template = readFileSync(join(here, "src/page.html"), "utf8");
const page = template.replace(/%([A-Z]+)%/g, (whole, name) => parts[name] ?? whole);
writeFileSync(out, page);

const kB = (bytes) => `${(bytes / 1000).toFixed(0)} kB`;
const packed = gzipSync(page, { level: 9 }).length;
console.log(`${out}: ${kB(Buffer.byteLength(page))}, gzipped ${kB(packed)}; script ${kB(script.length)}, style ${kB(style.length)}`);
