// A worker that answers questions: {module} first, then a question at a time as bytes, each of
// which comes back as the bytes of its answer. It is a classic script and a module alike, so that
// its text can also be run from a Blob, and it imports nothing before it runs.

// The engine of a module, by bytes in UTF-8. The same text stands in moulder.js.
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

function answerOn(port) {
  let engine;
  return ({ data }) => {
    if (data.module) {
      engine = connect(data.module, new WebAssembly.Instance(data.module, importsOf(data.module)));
      port.postMessage("ready");
    } else {
      const answer = engine.ask(data);
      port.postMessage(answer, [answer.buffer]);
    }
  };
}

if (typeof WorkerGlobalScope === "undefined") {
  // Node; the comments keep bundlers from looking for it.
  const threads = "node:worker_threads";
  import(/* webpackIgnore: true */ /* @vite-ignore */ threads).then(({ parentPort }) => {
    const answer = answerOn(parentPort);
    parentPort.on("message", (data) => answer({ data }));
  });
} else {
  self.onmessage = answerOn(self);
  self.onmessageerror = () => {
    throw new Error("this worker cannot be given the module");
  };
}
