// What the loader does where an engine fails, on a stand-in that fails on demand.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";

import { root } from "./fresh.mjs";
import { CALLS, FILLS, HANGS, TRAPS, VERSION, questionOf, standIn } from "./stand-in.mjs";

const source = join(root, "crates/moulder-web/npm");
const { Refused, compile, instantiate, startWorkers } = await import(
  pathToFileURL(join(source, "moulder.js")).href
);
const plain = questionOf(50);

let module;
let workers;
before(async () => {
  module = await compile(standIn);
  workers = await startWorkers({ module, count: 2 });
});
after(() => workers.close());

function refusedAs(code, words = /./) {
  return (error) => {
    assert(error instanceof Refused && error instanceof Error, `${error}`);
    assert.equal(error.code, code);
    assert.match(error.message, words);
    assert.deepEqual(error.faults, []);
    return true;
  };
}

test("the worker has the engine of the loader, word for word", () => {
  const [here, there] = ["moulder.js", "worker.js"].map((name) => {
    const text = readFileSync(join(source, name), "utf8");
    return /\nfunction connect[^]*?\nfunction importsOf[^]*?\n}\n/.exec(text)?.[0];
  });
  assert(here?.includes("moulder_ask"));
  assert.equal(here, there);
});

test("a fault of the engine is an answer, and the next question has a new instance", async () => {
  const engine = await instantiate(module);
  assert.equal(engine.version, VERSION);
  assert.equal(engine.ask(plain), 1);
  assert.throws(() => engine.ask(questionOf(TRAPS)), refusedAs("unfinished", /unreachable/));
  assert.equal(engine.ask(plain), 1);
  assert.throws(
    () => engine.ask(questionOf(CALLS)),
    refusedAs("unfinished", /glue\.never was called/),
  );
  assert.equal(engine.ask(plain), 1);
  assert.throws(() => engine.ask(questionOf(FILLS)), refusedAs("too-big"));
  const line = JSON.parse(engine.line("x".repeat(TRAPS)));
  assert.equal(line.refused.code, "unfinished");
});

test("the same in workers", async () => {
  for (const [length, code] of [
    [TRAPS, "unfinished"],
    [CALLS, "unfinished"],
    [FILLS, "too-big"],
  ]) {
    await assert.rejects(workers.ask(questionOf(length)), refusedAs(code));
    assert.deepEqual(await Promise.all([workers.ask(plain), workers.ask(plain)]), [1, 1]);
  }
});

test("answers are values or their text", async () => {
  assert.equal(await workers.ask(plain), 1);
  assert.equal(await workers.ask({ id: "seven", ...plain }, { text: true }), "1");
  await assert.rejects(workers.ask(questionOf(TRAPS), { text: true }), refusedAs("unfinished"));
});

test("a stop ends questions in workers and in the queue, and no others", async () => {
  const stop = new AbortController();
  const { signal } = stop;
  const hanging = [1, 2, 3].map(() => workers.ask(questionOf(HANGS), { signal }));
  const other = workers.ask(plain);
  stop.abort();
  for (const one of hanging) await assert.rejects(one, refusedAs("stopped"));
  assert.equal(await other, 1);
  await assert.rejects(workers.ask(plain, { signal }), refusedAs("stopped"));
  // A stop after the answer does nothing.
  const late = new AbortController();
  assert.equal(await workers.ask(plain, { signal: late.signal }), 1);
  late.abort();
  assert.deepEqual(
    await Promise.all([plain, plain, plain].map((each) => workers.ask(each))),
    [1, 1, 1],
  );
});

test("many stops one after another leave all workers", async () => {
  for (let turn = 0; turn < 5; turn++) {
    const stop = new AbortController();
    const asked = workers.ask(questionOf(HANGS), { signal: stop.signal });
    await new Promise(setImmediate);
    stop.abort();
    await assert.rejects(asked, refusedAs("stopped"));
  }
  // One that hangs in each worker but the last.
  const stop = new AbortController();
  const hanging = workers.ask(questionOf(HANGS), { signal: stop.signal });
  assert.equal(await workers.ask(plain), 1);
  stop.abort();
  await assert.rejects(hanging, refusedAs("stopped"));
});

test("closed workers refuse", async () => {
  const some = await startWorkers({ module, count: 1 });
  assert.equal(some.count, 1);
  const asked = [some.ask(questionOf(HANGS)), some.ask(plain)];
  some.close();
  for (const one of [...asked, some.ask(plain)])
    await assert.rejects(one, refusedAs("stopped", /closed/));
});

test("a worker that ends is told of and replaced; one that cannot begin is not", async () => {
  const frail = `import { parentPort } from "node:worker_threads";
    parentPort.on("message", (data) => {
      if (data.length === 60) throw new Error("ended");
      parentPort.postMessage(data.module ? "ready" : new TextEncoder().encode('{"answer":2}'));
    });`;
  const url = `data:text/javascript,${encodeURIComponent(frail)}`;
  const some = await startWorkers({ module, count: 1, workerUrl: url });
  const asked = [plain, questionOf(60), plain].map((question) => some.ask(question));
  assert.equal(await asked[0], 2);
  await assert.rejects(asked[1], refusedAs("unfinished", /ended/));
  assert.equal(await asked[2], 2);
  some.close();
  await assert.rejects(
    startWorkers({ module, count: 2, workerUrl: "data:text/javascript,throw new Error('no')" }),
    refusedAs("unfinished", /no/),
  );
});

test("what is no module is no engine", async () => {
  await assert.rejects(compile(new Uint8Array(8)), WebAssembly.CompileError);
  await assert.rejects(compile(new Response("", { status: 404, statusText: "Not Found" })), /404/);
  const untyped = new Response(standIn, {
    headers: { "content-type": "application/octet-stream" },
  });
  const typed = new Response(standIn, { headers: { "content-type": "application/wasm" } });
  for (const response of [untyped, Promise.resolve(typed)]) {
    const engine = await instantiate(await compile(response));
    assert.equal(engine.version, VERSION);
  }
});
