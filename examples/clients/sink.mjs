// How far the beds of some files sink: moulder asked in lines, from Node, with nothing to install.
//
//     node examples/clients/sink.mjs target/release/moulder examples/beds/*.toml

import { spawn } from "node:child_process";
import { readFile } from "node:fs/promises";
import { createInterface } from "node:readline";

// `moulder serve-lines`: a question is a line, its answer is a line with the same id.
class Moulder {
  #waiting = new Map();
  #process;
  constructor(program) {
    this.#process = spawn(program, ["serve-lines"], { stdio: ["pipe", "pipe", "inherit"] });
    createInterface({ input: this.#process.stdout }).on("line", (line) => {
      const { id, answer, refused, progress } = JSON.parse(line);
      if (progress) return;
      const { resolve, reject } = this.#waiting.get(id);
      this.#waiting.delete(id);
      refused ? reject(Object.assign(new Error(refused.message), refused)) : resolve(answer);
    });
  }
  ask(task, fields) {
    const id = crypto.randomUUID();
    this.#process.stdin.write(JSON.stringify({ id, ask: task, ...fields }) + "\n");
    return new Promise((resolve, reject) => this.#waiting.set(id, { resolve, reject }));
  }
  close() {
    this.#process.stdin.end();
  }
}

const [program, ...paths] = process.argv.slice(2);
const moulder = new Moulder(program);
for (const path of paths) {
  const bed = await readFile(path, "utf8");
  const forecast = await moulder.ask("forecast", { bed, months: 12, draws: 32 });
  const { lower, mean, upper } = forecast.intervals[12].settlement_m;
  const [low, middle, high] = [lower, mean, upper].map((m) => (100 * m).toFixed(0));
  console.log(`${forecast.name}: ${middle} cm in a year, 8 in 10 such beds ${low} to ${high}`);
}
await moulder.ask("forecast", { bed: "format = 1", moths: 3 }).catch((refused) => {
  console.log(`refused, with all that is wrong:\n${refused.message}`);
});
moulder.close();
