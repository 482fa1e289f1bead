// The package in Debian's Chromium: the bytes of the native program, from a server under a strict
// policy and from one file on disk.

import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";

import { openBrowser, openPage, serve } from "./browser.mjs";
import { BEDS, bedFile, bedText, command, compact, install, same } from "./fresh.mjs";
import { HANGS, TRAPS, questionOf, standIn } from "./stand-in.mjs";

const fresh = install();
const POLICY = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "connect-src 'self'",
  "worker-src 'self'",
  "img-src data:",
].join("; ");
const PAGES = {
  "page.html": `<!doctype html><title>moulder</title><link rel="icon" href="data:,">
    <script type="module" src="page.js"></script>`,
  "page.js": 'import * as moulder from "./moulder.js"; globalThis.moulder = moulder;',
};
const MONTHS = 60;
const DRAWS = 100;

let browser;
let server;
before(async () => {
  [browser, server] = await Promise.all([openBrowser(), serve(fresh.installed, PAGES, POLICY)]);
});
after(async () => {
  await browser.close();
  await server.close();
});

const native = (name) =>
  compact(
    command("forecast", bedFile(name), "--months", `${MONTHS}`, "--draws", `${DRAWS}`, "--json"),
  );

// One file with all in it, as a page from disk has it.
function oneFile() {
  const worker = JSON.stringify(fresh.file("worker.js").toString()).replaceAll("<", "\\u003c");
  return `<!doctype html><title>moulder</title>
<meta http-equiv="content-security-policy" content="default-src 'none';
  script-src 'unsafe-inline' 'wasm-unsafe-eval'; worker-src blob:">
<script type="module">${fresh.file("moulder.js")}
  const text = atob("${fresh.file("moulder.wasm").toString("base64")}");
  const bytes = Uint8Array.from(text, (sign) => sign.charCodeAt(0));
  const module = await compile(bytes);
  const workerUrl = URL.createObjectURL(new Blob([${worker}], { type: "text/javascript" }));
  globalThis.given = { module, workerUrl };
  globalThis.moulder = { Refused, compile, instantiate, load, startWorkers };
</script>`;
}

test("both beds from a server, in workers, in parts: the bytes of the command", async () => {
  const { page, faults, requests } = await openPage(browser.context, `${server.address}/page.html`);
  for (const name of BEDS) {
    const { text, told, partials } = await page.evaluate(
      async ([bed, months, draws]) => {
        const workers = await moulder.startWorkers({ count: 2 });
        const told = [];
        const partials = [];
        const text = await workers.forecast(
          { bed, months, draws },
          {
            text: true,
            onProgress: (done) => told.push(done),
            onPartial: (forecast, done) => partials.push([forecast.ensemble_size, done]),
          },
        );
        workers.close();
        return { text, told, partials };
      },
      [bedText(name), MONTHS, DRAWS],
    );
    same(compact(text), native(name), name);
    assert(told.length > 10 && told.at(-1) === DRAWS);
    assert.equal(partials.length, 1);
    assert.equal(partials[0][0], partials[0][1]);
  }
  assert.deepEqual(faults, []);
  const asked = new Set(requests.map((address) => address.slice(server.address.length + 1)));
  assert.deepEqual([...asked].sort(), [
    "moulder.js",
    "moulder.wasm",
    "page.html",
    "page.js",
    "worker.js",
  ]);
  await page.close();
});

test("on the page itself, in one piece; refusals are told", async () => {
  const { page, faults } = await openPage(browser.context, `${server.address}/page.html`);
  const { line, refused, version } = await page.evaluate(
    async ([bed, months, draws]) => {
      const engine = await moulder.load();
      let refused;
      try {
        engine.ask({ ask: "forecast", bed, moths: 3 });
      } catch (error) {
        const { name, code, faults } = error;
        refused = { name, code, path: faults[0].path, is: error instanceof moulder.Refused };
      }
      const line = engine.line(JSON.stringify({ ask: "forecast", bed, months, draws }));
      return { line, refused, version: engine.version };
    },
    [bedText(BEDS[0]), MONTHS, DRAWS],
  );
  same(compact(line), `{"answer":${native(BEDS[0])}}`, BEDS[0]);
  assert.deepEqual(refused, { name: "Refused", code: "unknown-field", path: "/moths", is: true });
  assert.equal(version, JSON.parse(fresh.file("package.json")).version);
  assert.deepEqual(faults, []);
  await page.close();
});

test("one file on disk, workers from a Blob, nothing requested: the same bytes", async () => {
  const file = join(fresh.folder, "one.html");
  writeFileSync(file, oneFile());
  const address = pathToFileURL(file).href;
  const { page, faults, requests } = await openPage(browser.context, address);
  await page.waitForFunction(() => globalThis.moulder);
  const text = await page.evaluate(
    async ([bed, months, draws]) => {
      const workers = await moulder.startWorkers({ ...given, count: 2 });
      const text = await workers.forecast({ bed, months, draws }, { text: true });
      workers.close();
      return text;
    },
    [bedText(BEDS[1]), MONTHS, DRAWS],
  );
  same(compact(text), native(BEDS[1]), BEDS[1]);
  assert.deepEqual(faults, []);
  assert.deepEqual(
    requests.filter((each) => !each.startsWith("blob:")),
    [address],
  );
  await page.close();
});

test("stops and faults of the engine in workers leave them as they were", async () => {
  const { page, faults } = await openPage(browser.context, `${server.address}/page.html`);
  const said = await page.evaluate(
    async ([bytes, plain, hangs, traps]) => {
      const module = await moulder.compile(new Uint8Array(bytes));
      const workers = await moulder.startWorkers({ module, count: 2 });
      const code = (asked) =>
        asked.then(
          (answer) => answer,
          (error) => error.code,
        );
      const said = [];
      for (let turn = 0; turn < 3; turn++) {
        const stop = new AbortController();
        const { signal } = stop;
        const hanging = [1, 2, 3].map(() => code(workers.ask(hangs, { signal })));
        const other = workers.ask(plain);
        // So that they are in the middle of it.
        await new Promise((resolve) => setTimeout(resolve, 20));
        stop.abort();
        said.push(...(await Promise.all(hanging)), await other, await code(workers.ask(traps)));
      }
      workers.close();
      said.push(await code(workers.ask(plain)));
      return said;
    },
    [[...standIn], questionOf(50), questionOf(HANGS), questionOf(TRAPS)],
  );
  const turn = ["stopped", "stopped", "stopped", 1, "unfinished"];
  assert.deepEqual(said, [...turn, ...turn, ...turn, "stopped"]);
  assert.deepEqual(faults, []);
  await page.close();
});

test("a worker that cannot be had is told of", async () => {
  const { page } = await openPage(browser.context, `${server.address}/page.html`);
  const codes = await page.evaluate(
    async (bytes) => {
      const module = await moulder.compile(new Uint8Array(bytes));
      const start = (workerUrl) =>
        moulder.startWorkers({ module, workerUrl }).then(
          () => "started",
          (error) => error.code,
        );
      return [await start("/nowhere.js"), await start("/page.js")];
    },
    [...standIn],
  );
  assert.deepEqual(codes, ["unfinished", "unfinished"]);
  await page.close();
});
