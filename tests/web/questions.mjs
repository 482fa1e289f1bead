// A question of every kind, small enough to be asked in a test.

import { readFileSync } from "node:fs";
import { join } from "node:path";

import { bedText, root } from "./fresh.mjs";

const bed = bedText("bulk-bag");
const measured = readFileSync(join(root, "examples/beds/measured-bag.toml"), "utf8");
const designs = ["hardwood-base", "softwood-base"].map(bedText);
const plan = readFileSync(join(root, "examples/plans/long-box.toml"), "utf8");
const today = "2026-11-30";
const charts = [
  "height",
  "layers",
  "carbon",
  "causes",
  "warmth",
  "water",
  "nitrogen",
  "weight",
  "section",
  "topups",
];

export const forecasts = [
  { ask: "forecast", bed, months: 12, draws: 0 },
  { ask: "forecast", bed, months: 6, draws: 8, deeper_than_m: 0.3, seed: 7, units: "us" },
  { ask: "forecast", bed: measured, months: 12, draws: 8 },
  { ask: "forecast", bed, months: 3, draws: 2, defaults: true },
];

/** All of them; a merge of the answers to two of them is made by who asks. */
export const questions = [
  ...forecasts,
  { ask: "check", bed, defaults: true },
  { ask: "notices", bed, months: 12 },
  { ask: "realisations", bed, months: 3, from: 0, to: 2 },
  { ask: "realisations", bed, months: 3, from: 2, to: 5 },
  { ask: "fit", bed: measured, draws: 100 },
  { ask: "answer", bed, today, draws: 4 },
  { ask: "top_ups", beds: [bed, measured], today, years: 1, draws: 4 },
  { ask: "compare", beds: designs, months: 12, draws: 4 },
  { ask: "plan", plan, draws: 4 },
  { ask: "ledger", bed, months: 12, draws: 4 },
  { ask: "unknowns", bed, at: 3, draws: 8 },
  ...charts.map((kind) => ({ ask: "chart", bed, kind, months: 12, draws: 4, today })),
  { ask: "chart", bed, kind: "unknowns", months: 3, draws: 8 },
  { ask: "chart", bed: measured, kind: "fit", draws: 100 },
  { ask: "chart", beds: designs, kind: "comparison", months: 12, draws: 4 },
  { ask: "report", beds: [bed], today, months: 12, draws: 4, one_sheet: true },
  { ask: "materials", name: "straw" },
  { ask: "climates", name: "Cambridge UK" },
];

/** Of places the package knows fewer than the program, so that these have answers of its own. */
export const places = [
  { ask: "climates", name: "Lyon, France" },
  { ask: "climates", near: [52.2, 0.1] },
  { ask: "towns", begins: "lyo", at_most: 1 },
];

/** Refused, for one reason or another. */
export const faulty = [
  "[",
  "null",
  '{"ask":"forecast"',
  '{"id":"x","ask":"forcast"}',
  '{"ask":"forecast","bed":"format = 1","moths":3}',
  `{"ask":"forecast","bed":${JSON.stringify(bed)},"draws":-1}`,
  `{"ask":"realisations","bed":${JSON.stringify(measured)},"from":0,"to":4}`,
  '{"ask":"merge","bed":{},"parts":[]}',
  "[".repeat(100_000),
  '{"ask":"climates","name":"\\u0000 — \\ud83c\\udf31 é"}',
];
