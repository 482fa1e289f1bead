// Packs the npm package, with its module:
//
//   node crates/moulder-web/pack.mjs FOLDER [MODULE]
//
// The package comes to lie in FOLDER, and its name is printed. MODULE is a module that was built
// before; without it, build.sh builds one.

import { execFileSync } from "node:child_process";
import { copyFileSync, cpSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const [folder, module] = process.argv.slice(2);
if (!folder) {
  console.error("usage: node pack.mjs FOLDER [MODULE]");
  process.exit(2);
}
const made = mkdtempSync(join(tmpdir(), "moulder-npm-"));
try {
  // npm leaves links out, and the licences are links.
  cpSync(join(here, "npm"), made, { recursive: true, dereference: true });
  if (module) {
    copyFileSync(module, join(made, "moulder.wasm"));
  } else {
    execFileSync("bash", [join(here, "build.sh"), made], { stdio: ["ignore", 2, 2] });
  }
  mkdirSync(folder, { recursive: true });
  const packing = ["pack", "--json", "--ignore-scripts", "--pack-destination", resolve(folder)];
  const told = execFileSync("npm", packing, { cwd: made, encoding: "utf8" });
  const [packed] = Object.values(JSON.parse(told));
  console.log(join(folder, packed.filename));
} finally {
  rmSync(made, { recursive: true, force: true });
}
