// The package as others get it, and the native program to hold it against.
//
// MOULDER_BIN is the program (target/release/moulder unless told); MOULDER_WASM is a module that
// was built before, without which one is built.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
export const root = resolve(here, "../..");
export const program = resolve(process.env.MOULDER_BIN ?? join(root, "target/release/moulder"));
const MOST = { encoding: "utf8", maxBuffer: 1 << 28 };

export const BEDS = ["bulk-bag", "log-box"];
export const bedFile = (name) => join(root, `examples/beds/${name}.toml`);
export const bedText = (name) => readFileSync(bedFile(name), "utf8");

/** Packs the package and installs it in a folder of its own, which goes when the process ends. */
export function install() {
  const folder = mkdtempSync(join(tmpdir(), "moulder-fresh-"));
  process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
  const built = process.env.MOULDER_WASM ? [resolve(process.env.MOULDER_WASM)] : [];
  const pack = join(root, "crates/moulder-web/pack.mjs");
  const archive = execFileSync(process.execPath, [pack, folder, ...built], MOST).trim();
  writeFileSync(join(folder, "package.json"), JSON.stringify({ private: true, type: "module" }));
  const quietly = ["--offline", "--no-audit", "--no-fund", "--loglevel=error"];
  execFileSync("npm", ["install", ...quietly, archive], { cwd: folder });
  const installed = join(folder, "node_modules/moulder");
  return {
    folder,
    archive,
    installed,
    file: (name) => readFileSync(join(installed, name)),
    use: () => import(pathToFileURL(join(installed, "moulder.js")).href),
  };
}

/** What the command prints. */
export function command(...words) {
  return execFileSync(program, words, MOST);
}

/** What the native program answers to lines. */
export function nativeLines(lines) {
  const input = `${lines.join("\n")}\n`;
  return execFileSync(program, ["serve-lines"], { ...MOST, input })
    .trimEnd()
    .split("\n");
}

/** JSON without white space; every number as it was written. */
export function compact(json) {
  return json.replace(/("(?:[^"\\]|\\.)*")|\s+/g, "$1");
}

/** Long texts are equal; if not, tells where they part. */
export function same(found, expected, about = "") {
  if (found === expected) return;
  let at = 0;
  while (found[at] === expected[at]) at += 1;
  const around = (text) => text.slice(Math.max(0, at - 60), at + 60);
  assert.fail(
    `${about.slice(0, 120)} parts at ${at}:\n${around(found)}\nexpected\n${around(expected)}`,
  );
}
