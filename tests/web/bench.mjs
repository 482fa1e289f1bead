// How long answers take, in Node and in Debian's Chromium, beside the native program in the same
// run, in one thread:
//
//   node bench.mjs [TURNS]
//
// Each figure is the least of so many turns (3 unless told), in milliseconds and as a ratio to the
// native program's. Answers are held against the native ones; times are only told.

import { spawn } from "node:child_process";
import { statSync } from "node:fs";
import { createInterface } from "node:readline";
import { brotliCompressSync, gzipSync } from "node:zlib";

import { openBrowser, openPage, serve } from "./browser.mjs";
import { bedText, compact, install, program, same } from "./fresh.mjs";

const turns = Number(process.argv[2] ?? 3);
const bed = bedText("bulk-bag");
const DRAWS = 128;
const SLOWER = 4;
const NOMINAL = { bed, months: 12, draws: 0 };
const RANGES = [12, 60].map((months) => ({ bed, months, draws: DRAWS }));
const nameOf = ({ months, draws }) =>
  `${months} months, ${draws ? `${draws} realisations` : "nominal run"}`;

// What is measured, in Node and in a page alike: of each turn the milliseconds, and the answer.
// The text of this function is run in pages too, so that it uses nothing from outside.
async function measure(moulder, task, question, { count = 1, turns = 1 } = {}) {
  const times = [];
  let text;
  const time = async (run) => {
    const begin = performance.now();
    const told = await run();
    times.push({ whole: performance.now() - begin, ...told });
  };
  if (task === "open") {
    await time(async () => {
      const engine = await moulder.load();
      text = engine.line(JSON.stringify({ ask: "forecast", ...question })).slice(10, -1);
    });
  } else if (task === "here") {
    const engine = await moulder.load();
    for (let turn = 0; turn <= turns; turn++) {
      await time(() => {
        text = engine.line(JSON.stringify({ ask: "forecast", ...question })).slice(10, -1);
      });
    }
    // Not yet compiled well.
    times.shift();
  } else {
    const begin = performance.now();
    const workers = await moulder.startWorkers({ count });
    const started = performance.now() - begin;
    for (let turn = 0; turn < turns; turn++) {
      await time(async () => {
        const begin = performance.now();
        const told = { started };
        if (task === "piece") {
          text = await workers.ask({ ask: "forecast", ...question }, { text: true });
          return told;
        }
        const onPartial = () => (told.partial = performance.now() - begin);
        const onProgress = (done, of) => {
          told.first ??= performance.now() - begin;
          if (done === of) told.parts = performance.now() - begin;
        };
        text = await workers.forecast(question, { text: true, onPartial, onProgress });
        return told;
      });
    }
    if (task === "stop") {
      // From a stop in the middle of a long forecast to the answer to a short question.
      times.length = 0;
      for (let turn = 0; turn < turns; turn++) {
        const stop = new AbortController();
        const long = workers.forecast(
          { ...question, months: 60, draws: 128 },
          { signal: stop.signal },
        );
        await new Promise((resolve) => setTimeout(resolve, 300));
        await time(async () => {
          const told = {};
          const begin = performance.now();
          stop.abort();
          await long.catch(() => (told.stopped = performance.now() - begin));
          await workers.ask({ ask: "forecast", ...question });
          return told;
        });
      }
    }
    workers.close();
  }
  return { times, text };
}

// Milliseconds of the native program, asked in lines.
class Native {
  #process = spawn(program, ["serve-lines"], {
    stdio: ["pipe", "pipe", "inherit"],
    env: { ...process.env, RAYON_NUM_THREADS: "1" },
  });
  #lines = createInterface({ input: this.#process.stdout })[Symbol.asyncIterator]();

  async ask(question) {
    const begin = performance.now();
    this.#process.stdin.write(`${JSON.stringify({ ask: "forecast", ...question })}\n`);
    const { value } = await this.#lines.next();
    return { ms: performance.now() - begin, text: value.slice(10, -1) };
  }

  close() {
    this.#process.stdin.end();
  }
}

const native = new Native();
const baseline = new Map();
async function measureNative(question) {
  const { ms, text } = await native.ask(question);
  const name = nameOf(question);
  const before = baseline.get(name);
  baseline.set(name, { ms: Math.min(ms, before?.ms ?? Infinity), text });
}

const rows = [];
// Turns of the native program lie between those of the others, for the machine may be busy.
async function compare(where, task, question, run, options = {}) {
  await measureNative(question);
  const { times, text } = await run(task, question, { turns, ...options });
  await measureNative(question);
  const { text: expected } = baseline.get(nameOf(question));
  same(compact(text), compact(expected), `${where}, ${task}`);
  const least = {};
  for (const each of times) {
    for (const [name, ms] of Object.entries(each))
      least[name] = Math.min(ms, least[name] ?? Infinity);
  }
  rows.push({ where, task, question, ...options, least });
  const { whole, ...more } = least;
  const details = Object.entries(more).map(([name, ms]) => `, ${name} ${ms.toFixed(0)}`);
  const what = `${task}${options.count ? ` with ${options.count}` : ""}, ${nameOf(question)}`;
  console.log(`${where}: ${what}: ${whole.toFixed(0)} ms${details.join("")}`);
}

async function all(where, run, isShort = false) {
  await compare(where, "open", NOMINAL, run);
  await compare(where, "here", NOMINAL, run);
  for (const question of isShort ? RANGES.slice(0, 1) : RANGES) {
    await compare(where, "piece", question, run, { count: 1 });
    for (const count of [1, 2]) await compare(where, "parts", question, run, { count });
  }
  await compare(where, "stop", NOMINAL, run, { count: 2 });
}

const fresh = install();
const wasm = fresh.file("moulder.wasm");
const sizes = {
  "moulder.wasm": wasm.length,
  gzip: gzipSync(wasm, { level: 9 }).length,
  brotli: brotliCompressSync(wasm).length,
  package: statSync(fresh.archive).size,
};
for (const [name, bytes] of Object.entries(sizes)) {
  console.log(`${name}: ${(bytes / 1000).toFixed(0)} kB`);
}

const moulder = await fresh.use();
await all("Node", (task, question, options) => measure(moulder, task, question, options));

const PAGES = {
  "page.html": `<!doctype html><title>moulder</title><link rel="icon" href="data:,">
    <script type="module" src="page.js"></script>`,
  "page.js": 'import * as moulder from "./moulder.js"; globalThis.moulder = moulder;',
};
const [browser, server] = await Promise.all([openBrowser(), serve(fresh.installed, PAGES, "")]);
try {
  const inPage = (page) => (task, question, options) =>
    page.evaluate(
      ([measure, ...given]) => (0, eval)(`(${measure})`)(globalThis.moulder, ...given),
      [`${measure}`, task, question, options],
    );
  const { page, faults } = await openPage(browser.context, `${server.address}/page.html`);
  await all("Chromium", inPage(page));
  // The browser slows down the thread of a page alone: of a worker it says that "Operation is only
  // supported for pages". So the range is measured on the page's own thread as well.
  const session = await browser.context.newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
  const slowed = `Chromium, the page's thread ${SLOWER} times slower`;
  await compare(slowed, "open", NOMINAL, inPage(page));
  await compare(slowed, "here", NOMINAL, inPage(page));
  await compare(slowed, "here", RANGES[0], inPage(page), { turns: 1 });
  await compare(slowed, "parts", RANGES[0], inPage(page), { count: 2 });
  for (const fault of faults) console.log(`FAULT: ${fault}`);
} finally {
  await browser.close();
  await server.close();
  native.close();
}

console.log("\nwhere | what | ms | native ms | ratio");
for (const { where, task, question, count, least } of rows) {
  const { ms } = baseline.get(nameOf(question));
  const what = `${nameOf(question)}, ${task}${count ? `, ${count} workers` : ""}`;
  console.log(
    `${where} | ${what} | ${least.whole.toFixed(0)} | ${ms.toFixed(0)} | ${(least.whole / ms).toFixed(2)}`,
  );
}
