// The engine inside this page: one worker answers what a tap asks at once, the
// others work out ranges.

import { Refused, compile, startWorkers, type Question, type Workers } from "moulder";

import type { Draft } from "./bed";
import type { Material } from "./material";
import type { Fault } from "./words";

declare const WORKER_TEXT: string;

export interface LayerMonth {
  thickness_m: number;
}

export interface Nitrogen {
  crop_demand_g_m2: number;
  crop_uptake_g_m2: number;
  is_short: boolean;
}

export interface Month {
  month: number;
  date: string;
  height_m: number;
  below_rim_m: number | null;
  settlement_m: number;
  layers: LayerMonth[];
  nitrogen: Nitrogen;
}

export interface Interval {
  mean: number;
  lower: number;
  upper: number;
}

export interface IntervalMonth {
  month: number;
  date: string;
  below_rim_m: Interval | null;
  height_m: Interval;
  lowered_m: Interval;
}

export interface Default {
  path: string;
  value: string;
  source: string;
}

export interface Forecast {
  ensemble_size: number;
  layers: string[];
  months: Month[];
  intervals: IntervalMonth[];
  rim_m: number | null;
  crop: string;
  defaults: Default[];
}

export interface Notice {
  code: string;
  severity: "danger" | "warning" | "note";
  message: string;
  acknowledged: boolean;
}

export interface Checked {
  bed: {
    area_m2: number;
    rim_m: number | null;
    trench_m: number;
    height_m: number;
    below_rim_m: number | null;
    total_mass_kg: number;
    climate: { name: string; latitude_deg: number };
    layers: { name: string; thickness_m: number }[];
  };
}

export interface Short {
  title: string;
  lines: [word: string, words: string][];
}

export interface TopUps {
  package: { name: string; volume_m3: number };
  material: string;
  top_ups: { date: string; below_before_m: number; needed_m3: number; bought: number }[];
}

export interface Town {
  label: string;
  latitude_deg: number;
  longitude_deg: number;
  height_m: number;
}

interface Pools {
  quick: Workers;
  wide: Workers;
}

let pools: Promise<Pools> | null = null;

// The bytes stand behind all else in the file, so that the first picture need
// not wait for them.
async function bytes(): Promise<ArrayBuffer> {
  if (document.readyState === "loading") {
    await new Promise((resolve) => addEventListener("DOMContentLoaded", resolve, { once: true }));
  }
  const text = document.getElementById("engine")?.textContent?.trim() ?? "";
  const signs = atob(text);
  const packed = new Uint8Array(signs.length);
  for (let at = 0; at < signs.length; at += 1) packed[at] = signs.charCodeAt(at);
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

async function begin(): Promise<Pools> {
  const module = await compile(await bytes());
  const workerUrl = URL.createObjectURL(new Blob([WORKER_TEXT], { type: "text/javascript" }));
  const processors = navigator.hardwareConcurrency ?? 2;
  // The quick one mostly waits.
  const count = Math.min(4, Math.max(1, processors));
  const quick = await startWorkers({ module, workerUrl, count: 1 });
  const wide = await startWorkers({ module, workerUrl, count });
  return { quick, wide };
}

/** Starts the engine; told once, kept for all questions. */
export function start(): Promise<Pools> {
  pools ??= begin().catch((error: unknown) => {
    // The next question may try again.
    pools = null;
    throw error;
  });
  return pools;
}

/** Whether an error says no more than that it was stopped. */
export function isStopped(error: unknown): boolean {
  return (error instanceof Refused && error.code === "stopped") || (error instanceof DOMException && error.name === "AbortError");
}

/** The faults of a question that was refused; null for any other error. */
export function faultsOf(error: unknown): Fault[] | null {
  if (!(error instanceof Refused)) return null;
  const faults = error.faults as unknown as Fault[];
  return faults.length > 0 ? faults : [{ code: error.code, message: error.message }];
}

async function ask<T>(question: object, signal?: AbortSignal, isWide = false): Promise<T> {
  const { quick, wide } = await start();
  return (await (isWide ? wide : quick).ask(question as Question, { signal })) as T;
}

export const check = (bed: Draft | string): Promise<Checked> => ask({ ask: "check", bed });

/** The faults of a document; an empty list where it is right. */
export async function faults(bed: Draft | string): Promise<Fault[]> {
  try {
    await check(bed);
    return [];
  } catch (error) {
    const found = faultsOf(error);
    if (found === null) throw error;
    return found;
  }
}

/** The one run with the best figures. */
export const nominal = (bed: Draft, months: number): Promise<Forecast> =>
  ask({ ask: "forecast", bed, months, draws: 0 });

export async function ranged(
  bed: Draft,
  months: number,
  watch: {
    onProgress: (done: number, of: number) => void;
    onPartial: (forecast: Forecast, done: number, of: number) => void;
    signal: AbortSignal;
  },
): Promise<Forecast> {
  const { wide } = await start();
  const options = {
    signal: watch.signal,
    onProgress: watch.onProgress,
    onPartial: (forecast: unknown, done: number, of: number) => watch.onPartial(forecast as Forecast, done, of),
  };
  return (await wide.forecast({ ask: "forecast", bed, months }, options)) as Forecast;
}

export const notices = (bed: Draft, months: number): Promise<Notice[]> => ask({ ask: "notices", bed, months });

/** How soil is sold: bags of 40 L, in the States of a cubic foot. */
export function ways(units: string | undefined): object[] | undefined {
  return units === "us" ? [{ name: "bag", volume_m3: 0.028316846592 }] : undefined;
}

export const answer = (bed: Draft, today: string, signal: AbortSignal): Promise<Short> =>
  ask({ ask: "answer", bed, today, ways: ways(bed.units) }, signal, true);

/** What to buy: by the one run, which knows no readings, or by the range. */
export const topUps = (bed: Draft, today: string, signal?: AbortSignal): Promise<TopUps[]> =>
  ask({ ask: "top_ups", beds: [bed], today, draws: signal ? undefined : 0, ways: ways(bed.units) }, signal, signal !== undefined);

export const report = (bed: Draft, today: string, paper: string, signal: AbortSignal): Promise<{ html: string }> =>
  ask({ ask: "report", beds: [bed], today, one_sheet: true, paper, ways: ways(bed.units) }, signal, true);

export const towns = (begins: string): Promise<Town[]> => ask({ ask: "towns", begins, at_most: 8 });

let shelf: Promise<Material[]> | null = null;

export function materials(): Promise<Material[]> {
  shelf ??= ask<Material[]>({ ask: "materials" });
  return shelf;
}
