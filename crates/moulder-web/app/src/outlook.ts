// The forecast of the open bed as it is worked out: one run at once, then the
// range, then the words. It outlives the step, so that coming back is quick.

import type { Draft } from "./bed";
import * as engine from "./engine";
import { dayNumber, today, type Fault } from "./words";

export type Stage = "waiting" | "nominal" | "rough" | "final" | "stopped" | "failed";

export interface Outlook {
  stage: Stage;
  /** The one run; at hand first. */
  nominal: engine.Forecast | null;
  /** The range, of the first few or of all. */
  ranged: engine.Forecast | null;
  /** The figures before the last change. */
  isStale: boolean;
  done: number;
  of: number;
  notices: engine.Notice[];
  short: engine.Short | null;
  /** Whether the words are of before the last change. */
  isShortStale: boolean;
  topUps: engine.TopUps | null;
  faults: Fault[];
}

const YEAR = 12;
const LONGEST = 600;

let of = "";
let now: Outlook = blank();
let stopper: AbortController | null = null;
let listener: (what: Outlook, isEnd: boolean) => void = () => {};

function blank(): Outlook {
  return { stage: "waiting", nominal: null, ranged: null, isStale: false, done: 0, of: 64, notices: [], short: null, isShortStale: false, topUps: null, faults: [] };
}

/** Months from filling to two years from today, or so many years. */
export function monthsOf(draft: Draft, years: number): number {
  const last = (draft.reading ?? []).reduce((day, reading) => (reading.on > day ? reading.on : day), draft.filled ?? "");
  const base = [today(), last].reduce((one, other) => (one > other ? one : other));
  const passed = Math.max(0, (dayNumber(base) - dayNumber(draft.filled ?? base)) / 30.4);
  return Math.min(LONGEST, Math.ceil(passed) + years * YEAR);
}

export function watch(how: (what: Outlook, isEnd: boolean) => void): void {
  listener = how;
}

export function unwatch(): void {
  listener = () => {};
}

export const current = (): Outlook => now;

/** Ends what is being worked out; what there is stays. */
export function stop(): void {
  stopper?.abort();
  stopper = null;
  if (now.stage === "nominal" || now.stage === "rough" || now.stage === "waiting") {
    now.stage = "stopped";
    listener(now, true);
  }
}

/** Works out the open bed, unless that is done already. */
export async function workOut(draft: Draft, years: number, isAgain = false): Promise<void> {
  const months = monthsOf(draft, years);
  const bed = structuredClone(draft);
  // A name changes no figure, yet it stands in the words.
  const asked = JSON.stringify([bed, months, today()]);
  if (asked === of && !isAgain && now.stage !== "failed") {
    listener(now, false);
    return;
  }
  stopper?.abort();
  const mine = new AbortController();
  stopper = mine;
  of = asked;
  const before = now;
  now = { ...blank(), ranged: before.ranged, short: before.short, isShortStale: before.short !== null, isStale: before.ranged !== null };
  const self = now;
  const isMine = (): boolean => stopper === mine && now === self;
  const tell = (isEnd = false): void => {
    if (now === self) listener(self, isEnd);
  };
  tell();
  try {
    self.nominal = await engine.nominal(bed, months);
    if (!isMine()) return;
    self.stage = "nominal";
    tell();
    void engine.notices(bed, months).then((notices) => {
      self.notices = notices;
      tell();
    }, () => {});
    // The one run leaves readings out.
    if ((bed.reading ?? []).length === 0) {
      void engine.topUps(bed, today()).then((list) => {
        self.topUps ??= list[0] ?? null;
        tell();
      }, () => {});
    }
    const forecast = await engine.ranged(bed, months, {
      signal: mine.signal,
      onProgress: (done, all) => {
        self.done = done;
        self.of = all;
        tell();
      },
      onPartial: (partial, done, all) => {
        self.ranged = partial;
        self.isStale = false;
        self.stage = "rough";
        self.done = done;
        self.of = all;
        tell();
      },
    });
    if (!isMine()) return;
    self.ranged = forecast;
    self.isStale = false;
    self.stage = "final";
    tell(true);
    const short = await engine.answer(bed, today(), mine.signal);
    if (!isMine()) return;
    self.short = short;
    self.isShortStale = false;
    tell();
    const [planned] = await engine.topUps(bed, today(), mine.signal);
    if (!isMine()) return;
    self.topUps = planned ?? null;
    tell();
  } catch (error) {
    if (engine.isStopped(error) || !isMine()) return;
    self.faults = engine.faultsOf(error) ?? [{ code: "unfinished", message: `The engine could not be started here. ${String(error)}` }];
    if (self.stage !== "final") self.stage = "failed";
    tell(true);
  }
}
