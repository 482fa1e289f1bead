// moulder in WebAssembly: questions as objects, answers as objects, here or in workers.
// README.md says what can be asked.

const encoder = new TextEncoder();
const decoder = new TextDecoder();
const isNode = typeof process === "object" && typeof process.versions?.node === "string";
// The comments keep bundlers from looking for what only Node has.
const fromNode = (name) => import(/* webpackIgnore: true */ /* @vite-ignore */ `node:${name}`);

/** Why a question has no answer: a code, and each fault of the question. */
export class Refused extends Error {
  constructor({ code, message, faults = [] }) {
    super(message);
    this.name = "Refused";
    this.code = code;
    this.faults = faults;
  }
}

/** Compiles the module of bytes or of a response; of moulder.wasm beside this file unless given. */
export async function compile(source = beside()) {
  const given = await source;
  if (typeof Response === "undefined" || !(given instanceof Response)) {
    return WebAssembly.compile(given);
  }
  if (!given.ok) throw new Error(`no module: ${given.status} ${given.statusText} at ${given.url}`);
  // Some servers do not know the type, and then it cannot be compiled as it comes.
  const isTyped = given.headers.get("content-type")?.startsWith("application/wasm");
  return isTyped
    ? WebAssembly.compileStreaming(given)
    : WebAssembly.compile(await given.arrayBuffer());
}

async function beside() {
  const url = new URL("./moulder.wasm", import.meta.url);
  return isNode && url.protocol === "file:"
    ? (await fromNode("fs/promises")).readFile(url)
    : fetch(url);
}

/** An engine in this thread: it answers at once, and nothing else runs until it has. */
export async function instantiate(module) {
  const engine = connect(module, await WebAssembly.instantiate(module, importsOf(module)));
  const line = (question) => decoder.decode(engine.ask(encoder.encode(question)));
  return {
    line,
    ask: (question) => answerIn(line(asText(question))),
    version: decoder.decode(engine.version()),
  };
}

/** The engine of moulder.wasm beside this file. */
export async function load() {
  return instantiate(await compile());
}

function asText(question) {
  return JSON.stringify(question) ?? "null";
}

function answerIn(line) {
  const { answer, refused } = JSON.parse(line);
  if (refused) throw new Refused(refused);
  return answer;
}

// The engine of a module, by bytes in UTF-8. The same text stands in worker.js.
function connect(module, first) {
  // An instance with more memory than this is given up, for memory never shrinks.
  const MOST_KEPT = 64 * 2 ** 20;
  const refusal = (code, message) =>
    new TextEncoder().encode(JSON.stringify({ refused: { code, message, faults: [] } }));
  let exports = first?.exports;
  // The bytes of an answer, which goes back.
  const taken = (answer) => {
    const [address, length] = new Uint32Array(exports.memory.buffer, answer >>> 0, 2);
    const bytes = new Uint8Array(exports.memory.buffer, address, length).slice();
    exports.moulder_free(answer);
    return bytes;
  };
  const run = (task) => {
    try {
      exports ??= new WebAssembly.Instance(module, importsOf(module)).exports;
      const answer = task();
      if (exports.memory.buffer.byteLength > MOST_KEPT) exports = undefined;
      return answer;
    } catch (error) {
      // Whatever a trap left behind is not used again.
      exports = undefined;
      const message = `this question met a fault of the library; please report it (${error})`;
      return refusal("unfinished", message);
    }
  };
  return {
    ask: (question) =>
      run(() => {
        const room = exports.moulder_room(question.length) >>> 0;
        if (room === 0) return refusal("too-big", "there is no room for this question");
        new Uint8Array(exports.memory.buffer, room, question.length).set(question);
        return taken(exports.moulder_ask(room, question.length));
      }),
    version: () => run(() => taken(exports.moulder_version())),
  };
}

// What a module asks for: libraries in it name functions that are never called.
function importsOf(module) {
  const imports = {};
  for (const { module: from, name } of WebAssembly.Module.imports(module)) {
    imports[from] ??= {};
    imports[from][name] = () => {
      throw new Error(`${from}.${name} was called`);
    };
  }
  return imports;
}

const MOST_WORKERS = 4;

/** Starts workers that share a queue of questions. */
export async function startWorkers({ module, workerUrl, count } = {}) {
  const [compiled, start] = await Promise.all([module ?? compile(), starter(workerUrl)]);
  const wanted = count ?? Math.min(MOST_WORKERS, await processors());
  const pool = new Pool(() => start(compiled), Math.max(1, Math.floor(wanted)));
  await pool.ready;
  return new Workers(pool);
}

async function processors() {
  if (isNode) return (await fromNode("os")).availableParallelism();
  return navigator.hardwareConcurrency ?? 1;
}

// How a worker is made, in Node or elsewhere, as {post, end, onMessage, onError}.
async function starter(workerUrl) {
  const threads = isNode && (await fromNode("worker_threads"));
  const make = () => {
    if (isNode) {
      return new threads.Worker(fileOf(workerUrl) ?? new URL("./worker.js", import.meta.url));
    }
    if (workerUrl) return new Worker(workerUrl);
    // A bundler finds the file by this very expression.
    return new Worker(new URL("./worker.js", import.meta.url), { type: "module" });
  };
  return (module) => {
    const worker = make();
    const handle = {
      post: (message, transfer) => worker.postMessage(message, transfer),
      end: () => worker.terminate(),
    };
    if (isNode) {
      worker.on("message", (data) => handle.onMessage(data));
      worker.on("error", (error) => handle.onError(error.message));
    } else {
      worker.onmessage = ({ data }) => handle.onMessage(data);
      worker.onerror = (event) => {
        event.preventDefault();
        handle.onError(event.message ?? "it could not be loaded");
      };
    }
    handle.post({ module });
    return handle;
  };
}

// Node takes a text for a path.
function fileOf(workerUrl) {
  return /^(file|data):/.test(workerUrl) ? new URL(workerUrl) : workerUrl;
}

const stopped = (message = "stopped") => new Refused({ code: "stopped", message });

// Workers and the questions that wait for them, all as bytes.
class Pool {
  #start;
  #workers = new Set();
  #idle = [];
  #waiting = [];
  #isClosed = false;

  constructor(start, count) {
    this.#start = start;
    this.count = count;
    this.ready = Promise.all(Array.from({ length: count }, () => this.#add()));
    this.ready.catch(() => this.close());
  }

  // A worker more; resolves when it can be asked.
  async #add() {
    const worker = this.#start();
    this.#workers.add(worker);
    await new Promise((resolve, reject) => {
      worker.onMessage = (data) => {
        if (data === "ready") {
          worker.hasBegun = true;
          resolve();
        }
        this.#settle(worker)?.resolve(data);
        this.#idle.push(worker);
        this.#next();
      };
      worker.onError = (message) => {
        const error = new Refused({ code: "unfinished", message: `a worker ended: ${message}` });
        this.#settle(worker)?.reject(error);
        this.#end(worker);
        reject(error);
        // One that never began would fail again.
        if (worker.hasBegun) this.#replace();
        else if (this.#workers.size === 0) this.#refuse(error);
      };
    });
  }

  #replace() {
    if (!this.#isClosed) this.#add().catch(() => {});
  }

  #end(worker) {
    worker.end();
    worker.onMessage = worker.onError = () => {};
    this.#workers.delete(worker);
    this.#idle = this.#idle.filter((other) => other !== worker);
  }

  #settle(worker) {
    const { job } = worker;
    worker.job = undefined;
    job?.forget();
    return job;
  }

  #next() {
    while (this.#idle.length > 0 && this.#waiting.length > 0) {
      const worker = this.#idle.shift();
      worker.job = this.#waiting.shift();
      worker.job.worker = worker;
      const { question } = worker.job;
      worker.post(question, [question.buffer]);
    }
  }

  #refuse(error) {
    const waiting = this.#waiting;
    this.#waiting = [];
    for (const job of waiting) {
      job.forget();
      job.reject(error);
    }
  }

  // The answer to a question, as bytes; the question's own are given away.
  ask(question, signal) {
    return new Promise((resolve, reject) => {
      if (this.#isClosed) return reject(stopped("the workers are closed"));
      if (signal?.aborted) return reject(stopped());
      if (this.#workers.size === 0) {
        return reject(new Refused({ code: "unfinished", message: "no worker could be started" }));
      }
      const abort = () => this.#stop(job);
      const forget = () => signal?.removeEventListener("abort", abort);
      const job = { question, resolve, reject, forget };
      signal?.addEventListener("abort", abort, { once: true });
      this.#waiting.push(job);
      this.#next();
    });
  }

  // A worker in the middle of a question can only be ended.
  #stop(job) {
    this.#waiting = this.#waiting.filter((other) => other !== job);
    if (job.worker) {
      this.#settle(job.worker);
      this.#end(job.worker);
      this.#replace();
    }
    job.reject(stopped());
  }

  close() {
    this.#isClosed = true;
    this.#refuse(stopped("the workers are closed"));
    for (const worker of this.#workers) {
      this.#settle(worker)?.reject(stopped("the workers are closed"));
      this.#end(worker);
    }
  }
}

// Realisations of a part: a part takes some tenths of a second.
const PART = 4;
// Realisations after which there is a forecast to show.
const FIRST = 20;
// Those of a forecast where nothing is said.
const USUAL = 64;
// Parts of more bytes than this together are not merged: it would take too much memory.
const MOST_MERGED = 48 * 2 ** 20;
// What the parts of a forecast are asked with, and what merging them is.
const OF_PARTS = ["bed", "materials", "weather", "units", "as_filled", "months", "seed"];
const OF_MERGE = [...OF_PARTS, "deeper_than_m"];

class Workers {
  #pool;

  constructor(pool) {
    this.#pool = pool;
  }

  get count() {
    return this.#pool.count;
  }

  close() {
    this.#pool.close();
  }

  async ask(question, { signal, text = false } = {}) {
    const bytes = await this.#pool.ask(encoder.encode(asText(withoutId(question))), signal);
    return answerOf(bytes, text);
  }

  async forecast(question, { onProgress, onPartial, signal, text = false } = {}) {
    const asked = { ...withoutId(question), ask: "forecast" };
    const draws = asked.draws ?? USUAL;
    const isInParts = Object.entries(asked).every(
      ([name, value]) =>
        OF_MERGE.includes(name) || ["ask", "draws"].includes(name) || value == null,
    );
    if (!isInParts || !Number.isInteger(draws) || draws <= 0) {
      return this.ask(asked, { signal, text });
    }
    const parts = [];
    let [next, done, bytes] = [0, 0, 0];
    // The whole question is asked where its parts cannot be: it is answered, or says why not.
    let isWhole = false;
    let isShown = onPartial === undefined;
    const rest = new AbortController();
    const stop = () => rest.abort();
    signal?.addEventListener("abort", stop, { once: true });
    if (signal?.aborted) stop();
    // One part after another, so that other questions get their turn between them.
    const lane = async () => {
      while (next < draws && !isWhole) {
        const from = next;
        const to = Math.min(from + PART, draws);
        next = to;
        const part = { ...only(OF_PARTS, asked), ask: "realisations", from, to };
        const line = await this.#pool.ask(encoder.encode(asText(part)), rest.signal);
        const answer = bytesOfAnswer(line);
        done += to - from;
        bytes += line.length;
        if (!answer || (bytes / done) * draws > MOST_MERGED) isWhole = true;
        if (isWhole) return;
        parts[from / PART] = answer;
        onProgress?.(done, draws);
        const gap = parts.findIndex((part) => part === undefined);
        const ready = gap === -1 ? parts.length : gap;
        if (!isShown && ready * PART >= FIRST && next < draws) {
          isShown = true;
          const partial = await this.#merged(asked, parts.slice(0, ready), rest.signal);
          onPartial(answerOf(partial), Math.min(ready * PART, draws), draws);
        }
      }
    };
    try {
      await Promise.all(Array.from({ length: this.count }, lane));
      if (isWhole) return await this.ask(asked, { signal, text });
      return answerOf(await this.#merged(asked, parts, rest.signal), text);
    } finally {
      // Where one part failed, the others are not waited for.
      stop();
      signal?.removeEventListener("abort", stop);
    }
  }

  // The parts are put into the question as they came: nothing parses them on the way.
  #merged(asked, parts, signal) {
    const question = asText({ ...only(OF_MERGE, asked), ask: "merge" });
    const pieces = [encoder.encode(`${question.slice(0, -1)},"parts":[`)];
    parts.forEach((part, at) => {
      if (at > 0) pieces.push(encoder.encode(","));
      pieces.push(part);
    });
    pieces.push(encoder.encode("]}"));
    const whole = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
    let at = 0;
    for (const piece of pieces) {
      whole.set(piece, at);
      at += piece.length;
    }
    return this.#pool.ask(whole, signal);
  }
}

function only(names, question) {
  return Object.fromEntries(names.map((name) => [name, question[name]]));
}

// Without an id, lines of answers all begin alike; promises need none.
function withoutId(question) {
  if (typeof question !== "object" || question === null || Array.isArray(question)) return question;
  const { id, progress, ...rest } = question;
  return rest;
}

const BEFORE = encoder.encode('{"answer":');

// The answer in a line, as bytes; nothing of a refusal.
function bytesOfAnswer(line) {
  const isAnswer = BEFORE.every((byte, at) => line[at] === byte);
  return isAnswer ? line.subarray(BEFORE.length, line.length - 1) : undefined;
}

function answerOf(line, asText = false) {
  const answer = asText && bytesOfAnswer(line);
  return answer ? decoder.decode(answer) : answerIn(decoder.decode(line));
}
