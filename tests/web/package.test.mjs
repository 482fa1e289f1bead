// The package as others get it, in Node: its files, its types, its README, and its answers against
// those of the native program.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { lstatSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";

import {
  BEDS,
  bedFile,
  bedText,
  command,
  compact,
  install,
  nativeLines,
  root,
  same,
} from "./fresh.mjs";
import { faulty, forecasts, places, questions } from "./questions.mjs";

const fresh = install();
const { Refused, compile, instantiate, load, startWorkers } = await fresh.use();
const measured = readFileSync(bedFile("measured-bag"), "utf8");

let engine;
let workers;
before(async () => {
  engine = await load();
  workers = await startWorkers({ count: 2 });
});
after(() => workers.close());

const refused = (code, path) => (error) => {
  assert(error instanceof Refused, `${error}`);
  assert.equal(error.code, code);
  if (path)
    assert(
      error.faults.some((fault) => fault.path === path),
      JSON.stringify(error.faults),
    );
  return true;
};
const answerTo = (question) => compact(engine.line(JSON.stringify(question))).slice(10, -1);

test("what is packed, as files and not as links", () => {
  const files = readdirSync(fresh.installed).sort();
  assert.deepEqual(files, [
    "LICENSE-APACHE",
    "LICENSE-DATA",
    "LICENSE-MIT",
    "README.md",
    "moulder.d.ts",
    "moulder.js",
    "moulder.wasm",
    "package.json",
    "worker.js",
  ]);
  for (const file of files) {
    assert(lstatSync(join(fresh.installed, file)).isFile(), file);
    if (file.startsWith("LICENSE")) {
      assert.deepEqual(fresh.file(file), readFileSync(join(root, file)), file);
    }
  }
});

test("nothing else comes along", () => {
  const packed = JSON.parse(fresh.file("package.json"));
  for (const kind of ["dependencies", "peerDependencies", "optionalDependencies", "scripts"]) {
    assert.equal(packed[kind], undefined, kind);
  }
  assert.deepEqual(
    readdirSync(dirname(fresh.installed)).filter((name) => !name.startsWith(".")),
    ["moulder"],
  );
});

test("the version is that of the workspace", () => {
  const [, version] = /\[workspace\.package\][^[]*?\nversion = "(.*)"/.exec(
    readFileSync(join(root, "Cargo.toml"), "utf8"),
  );
  assert.equal(JSON.parse(fresh.file("package.json")).version, version);
  assert.equal(engine.version, version);
  assert.equal(engine.ask(forecasts[0]).engine, version);
});

// An engine whose imports are counted, all of which must be functions.
async function watchedEngine(called) {
  const module = await compile();
  const imports = {};
  for (const { module: from, name, kind } of WebAssembly.Module.imports(module)) {
    assert.equal(kind, "function", name);
    imports[from] ??= {};
    imports[from][name] = () => called.push(name);
  }
  const { instantiate: real } = WebAssembly;
  let count = 0;
  WebAssembly.instantiate = (given) => {
    count += 1;
    return real.call(WebAssembly, given, imports);
  };
  try {
    return await instantiate(module);
  } finally {
    WebAssembly.instantiate = real;
    assert.equal(count, 1);
  }
}

test("each kind of question has the native answer, to the byte, and no import is called", async () => {
  const called = [];
  const watched = await watchedEngine(called);
  const parts = questions.filter(({ ask }) => ask === "realisations");
  const [{ bed, months }] = parts;
  const merge = {
    id: [1, "ä"],
    ask: "merge",
    bed,
    months,
    parts: parts.map((part) => watched.ask(part)),
  };
  const all = [...questions, merge];
  const lines = [...all.map((each) => JSON.stringify(each)), ...faulty];
  // The module has no schemas, and so does not name the question for them.
  const native = nativeLines(lines).map((line) => line.replace(", schema", ""));
  lines.forEach((line, at) => same(watched.line(line), native[at], line));
  for (const place of places) assert(watched.ask(place));
  assert.deepEqual(called, []);
  // All kinds there are, and answers where answers are due.
  const { answer: schema } = JSON.parse(nativeLines(['{"ask":"schema"}'])[0]);
  const known = schema.question.oneOf.map(({ title }) => title).filter((word) => word !== "schema");
  assert.deepEqual([...new Set([...all, ...places].map(({ ask }) => ask))].sort(), known.sort());
  const isAnswer = native.map((line) => line.includes('"answer":'));
  assert.deepEqual(isAnswer, [...all.map(() => true), ...faulty.map(() => false)]);
});

for (const name of BEDS) {
  test(`${name}: a forecast in one piece and in parts has the bytes of the command`, async () => {
    const native = compact(
      command("forecast", bedFile(name), "--months", "60", "--draws", "100", "--json"),
    );
    const question = { ask: "forecast", bed: bedText(name), months: 60, draws: 100 };
    // In one piece it takes long: one bed does.
    if (name === BEDS[0]) same(answerTo(question), native);
    const told = [];
    const partials = [];
    const asked = {
      onProgress: (done, of) => told.push([done, of]),
      onPartial: (forecast, done, of) => partials.push([forecast, done, of]),
    };
    const text = await workers.forecast(question, { ...asked, text: true });
    same(compact(text), native);
    const counts = told.map(([done]) => done);
    assert.deepEqual(
      counts,
      [...new Set(counts)].sort((a, b) => a - b),
    );
    assert(counts.length > 10 && counts.at(-1) === 100 && told.every(([, of]) => of === 100));
    const [[partial, done, of]] = partials;
    assert.equal(partials.length, 1);
    assert(done >= 20 && done < of && of === 100);
    // The first part of an ensemble is an ensemble.
    const smaller = await workers.forecast({ ...question, draws: done });
    assert.deepEqual(partial, smaller);
    assert.equal(partial.ensemble_size, done);
  });
}

test("parts and pieces agree, whatever is asked along", async () => {
  const bed = bedText("log-box");
  const asked = [
    { bed },
    { bed, months: 3, draws: 1 },
    { bed, months: 3, draws: 21, id: 5, progress: true },
    { bed, months: 3, draws: 9, deeper_than_m: 0.2, seed: 2 ** 53, units: "uk-garden" },
    { bed, months: 0, draws: 5, materials: null, seed: null },
    { bed: measured, months: 6, draws: 5, as_filled: true },
    ...forecasts,
  ];
  for (const question of asked) {
    const { id, progress, ...plain } = question;
    const text = await workers.forecast(question, { text: true });
    same(text, answerTo({ ...plain, ask: "forecast" }), JSON.stringify({ ...plain, bed: "" }));
    assert.deepEqual(await workers.ask({ ...question, ask: "forecast" }), JSON.parse(text));
  }
});

test("what is never in parts: nothing is told of its progress", async () => {
  const never = { onProgress: assert.fail, onPartial: assert.fail };
  for (const question of [forecasts[0], forecasts[2], forecasts[3]]) {
    const forecast = await workers.forecast(question, never);
    assert.equal(forecast.ensemble_size > 0, question.draws > 0);
  }
});

test("refusals have every fault, here and in workers", async () => {
  const wrong = { ask: "forecast", bed: "format = 1\nclimate = 'Camebridge UK'", moths: 3 };
  let first;
  assert.throws(
    () => engine.ask(wrong),
    (error) => {
      first = error;
      return refused("unknown-field", "/moths")(error);
    },
  );
  assert(first.faults.length > 2);
  for (const ask of ["ask", "forecast"]) {
    await assert.rejects(workers[ask](wrong), (error) => {
      assert.deepEqual([error.message, error.faults], [first.message, first.faults]);
      return refused("unknown-field", "/moths")(error);
    });
  }
  const bed = bedText("log-box");
  for (const [more, path] of [
    [{ draws: -1 }, "/draws"],
    [{ draws: 1.5 }, "/draws"],
    [{ draws: "8" }, "/draws"],
    [{ draws: 1e6 }, "/draws"],
    [{ months: -1, draws: 4 }, "/months"],
    [{ bed: 7 }, "/bed"],
  ]) {
    await assert.rejects(workers.forecast({ bed, ...more }), (error) => {
      assert(error instanceof Refused);
      assert.deepEqual(
        error.faults.map((fault) => fault.path),
        [path],
      );
      return true;
    });
  }
  for (const nothing of [undefined, null, "forecast", [], 7]) {
    assert.throws(() => engine.ask(nothing), refused("wrong-kind"));
    await assert.rejects(workers.ask(nothing), refused("wrong-kind"));
  }
});

test("a forecast is stopped in the middle, and the next one is whole", async () => {
  const bed = bedText("bulk-bag");
  const stop = new AbortController();
  const { signal } = stop;
  const counts = [];
  const onProgress = (done) => {
    counts.push(done);
    if (counts.length === 2) stop.abort();
  };
  const next = { bed, months: 3, draws: 9 };
  const long = workers.forecast({ bed, months: 60, draws: 200 }, { onProgress, signal });
  await assert.rejects(long, refused("stopped"));
  assert.equal(counts.length, 2);
  same(await workers.forecast(next, { text: true }), answerTo({ ...next, ask: "forecast" }));
  await assert.rejects(workers.forecast(next, { signal }), refused("stopped"));
});

test("what a listener throws ends its forecast", async () => {
  const question = { bed: bedText("bulk-bag"), months: 3, draws: 200 };
  let calls = 0;
  for (const name of ["onProgress", "onPartial"]) {
    const listener = () => {
      calls += 1;
      throw new Error("enough");
    };
    await assert.rejects(workers.forecast(question, { [name]: listener }), /enough/);
  }
  assert.equal(calls, 2);
});

test("short questions get their turn while a forecast runs, and forecasts theirs", async () => {
  const bed = bedText("log-box");
  const order = [];
  const long = workers.forecast({ bed, months: 12, draws: 120 }).then(() => order.push("long"));
  const short = workers.forecast({ bed, months: 1, draws: 8 }).then(() => order.push("short"));
  const check = workers.ask({ ask: "check", bed }).then(() => order.push("check"));
  await Promise.all([long, short, check]);
  assert.equal(order.at(-1), "long");
});

test("too much to merge is asked in one piece", async () => {
  // So long that one part of four realisations tells what all would hold.
  const question = { ask: "forecast", bed: bedText("log-box"), months: 120, draws: 200 };
  let count = 0;
  const stop = new AbortController();
  const onProgress = () => (count += 1);
  const asked = workers.forecast(question, { onProgress, signal: stop.signal });
  const parts = workers.ask({ ...question, ask: "check", months: undefined, draws: undefined });
  await parts;
  stop.abort();
  await assert.rejects(asked, refused("stopped"));
  assert.equal(count, 0);
});

test("a trap of the real module is an answer, and the next question has a new instance", async () => {
  const module = await compile();
  const { instantiate: real } = WebAssembly;
  // The first instance is asked a question that lies outside of its memory.
  WebAssembly.instantiate = async (...given) => {
    const { exports } = await real.apply(WebAssembly, given);
    return { exports: { ...exports, moulder_ask: () => exports.moulder_ask(0xffff_0000, 0xffff) } };
  };
  let hurt;
  try {
    hurt = await instantiate(module);
  } finally {
    WebAssembly.instantiate = real;
  }
  assert.throws(() => hurt.ask(forecasts[0]), refused("unfinished"));
  assert.deepEqual(hurt.ask(forecasts[0]), engine.ask(forecasts[0]));
});

test("a question that is too large is refused", () => {
  const room = 65 * 2 ** 20;
  assert.equal(JSON.parse(engine.line(" ".repeat(room))).refused.code, "too-big");
  assert.deepEqual(engine.ask(forecasts[0]), JSON.parse(answerTo(forecasts[0])));
});

test("the types are those of the answers", () => {
  const answers = forecasts.map((question) => engine.ask(question));
  const faults = faulty.flatMap((line) => JSON.parse(engine.line(line)).refused.faults);
  const part = engine.ask(questions.find(({ ask }) => ask === "realisations"));
  const source = `import { compile, instantiate, load, Refused, startWorkers } from "moulder";
import type { Engine, Fault, Forecast, Month, Question, Workers } from "moulder";

export const faults: Fault[] = ${JSON.stringify(faults)};
${answers.map((answer, at) => `export const forecast${at}: Forecast = ${JSON.stringify(answer)};`).join("\n")}
const months: Month[] = ${JSON.stringify(part.realisations[0].months)};
const questions: Question[] = ${JSON.stringify(questions)};

const engine: Engine = await load();
const one: Forecast = engine.ask({ ask: "forecast", bed: {}, draws: 0 });
const parts: Forecast = engine.ask({ ask: "merge", bed: "", parts: [] });
const other = engine.ask({ ask: "check", bed: "", defaults: true });
other.name.length;
const workers: Workers = await startWorkers({ module: await compile(fetch("x")), count: 1 });
const { signal } = new AbortController();
const spread: Forecast = await workers.forecast(
  { bed: {}, months: 3 },
  { signal, onProgress: (done, of) => done / of, onPartial: ({ months }) => months[0].height_m },
);
const text: string = await workers.forecast({ bed: {} }, { text: true });
const asked: Forecast = await workers.ask({ ask: "forecast", bed: {} }, { signal });
const line: string = await workers.ask({ ask: "materials" }, { text: true });
const again: Engine = await instantiate(await compile(new Uint8Array(8)));
try {
  again.line("");
} catch (error) {
  if (error instanceof Refused) error.faults.map(({ path, place }) => ("line" in place ? place.column : path));
}
console.log(months, questions, one, parts, workers.count, spread, text, asked, line);

// @ts-expect-error a word that is none
engine.ask({ ask: "forcast", bed: {} });
// @ts-expect-error a field that is none
workers.forecast({ bed: {}, moths: 3 });
// @ts-expect-error no bed
workers.forecast({ months: 3 });
// @ts-expect-error of the text nothing is known
(await workers.forecast({ bed: {} }, { text: true })).months;
// @ts-expect-error it is there to be read
workers.count = 3;
`;
  const folder = join(fresh.folder, "types");
  mkdirSync(folder);
  writeFileSync(join(folder, "check.ts"), source);
  const compiler = createRequire(import.meta.url).resolve("typescript/package.json");
  const tsc = join(dirname(compiler), JSON.parse(readFileSync(compiler, "utf8")).bin.tsc);
  for (const [module, resolution] of [
    ["nodenext", "nodenext"],
    ["esnext", "bundler"],
  ]) {
    const options = [
      "--strict",
      "--noEmit",
      "--target",
      "es2022",
      "--lib",
      "es2022,dom",
      "--types",
      "",
    ];
    const asked = [
      tsc,
      ...options,
      "--module",
      module,
      "--moduleResolution",
      resolution,
      "check.ts",
    ];
    try {
      execFileSync(process.execPath, asked, { cwd: folder, encoding: "utf8", stdio: "pipe" });
    } catch (error) {
      assert.fail(`${module}: ${error.stdout.slice(0, 2000)}${error.stderr}`);
    }
  }
});

test("the examples of the README run", () => {
  const readme = fresh.file("README.md").toString();
  const [first, second, third, ...more] = [...readme.matchAll(/```js\n([^]*?)```/g)].map(
    ([, code]) => code,
  );
  assert.deepEqual(more, []);
  const bed = /const bed = {[^]*?\n};\n/.exec(first)[0];
  // A server is not needed to say where files lie.
  const elsewhere = third
    .replace('fetch("/files/moulder.wasm")', 'fs.readFile("node_modules/moulder/moulder.wasm")')
    .replace('"/files/worker.js"', '"./node_modules/moulder/worker.js"');
  assert(elsewhere.split("node_modules").length === 3);
  const run = (name, code) => {
    writeFileSync(join(fresh.folder, name), code);
    return execFileSync(process.execPath, [name], { cwd: fresh.folder, encoding: "utf8" });
  };
  const said = run("first.mjs", first);
  assert.match(said, /^8 in 10 such beds: 0\.\d\d to 0\.\d\d m below the rim\n/);
  assert.match(said, /\nmissing-field .*\n[^]*unknown-climate .*Cambridge/);
  const spread = run("second.mjs", second.replace("\n\n", `\n\n${bed}`));
  assert.match(spread, /^4 of 128\n[^]*61 months by \d+ draws\n[^]*128 of 128\n61\n/);
  const placed = `import fs from "node:fs/promises";\n${elsewhere}
    console.log(here.version, workers.count);\nworkers.close();`;
  assert.equal(run("third.mjs", placed), `${engine.version} 2\n`);
});
