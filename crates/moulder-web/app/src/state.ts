// The bed that is open, and where one stands in the page.

import { newDraft, type Draft } from "./bed";
import { SYSTEMS, systemOf, type System } from "./quantity";
import * as store from "./store";
import { today } from "./words";

export type StepName =
  | "start" | "open" | "shape" | "stands" | "place" | "layers" | "pick"
  | "filled" | "answer" | "measured" | "added" | "save" | "sheet";

export interface Where {
  step: StepName;
  /** What a list of materials is for: a new layer, one mixed in, or another kind. */
  layer?: number;
  put?: number;
  [more: string]: unknown;
}

let open: store.Kept | null = null;

// Chosen in this visit: a browser may keep nothing.
let chosen: System | null = null;

export function chooseUnits(system: System): void {
  chosen = system;
  store.keepUnits(system);
}

/** Units until a bed says otherwise. */
export function usualUnits(): System {
  if (chosen !== null) return chosen;
  const kept = store.units();
  if (kept !== null && SYSTEMS.some((system) => system === kept)) return systemOf(kept);
  return navigator.language === "en-US" ? "us" : "metric";
}

export const isOpen = (): boolean => open !== null;
export const openId = (): string | null => open?.id ?? null;

/** The open bed; an empty one where there is none. */
export function draft(): Draft {
  open ??= store.fresh(newDraft(usualUnits(), today()));
  return open.draft;
}

export const system = (): System => (open ? systemOf(open.draft.units) : usualUnits());

export function openBed(kept: store.Kept): void {
  open = kept;
}

export function begin(): void {
  open = store.fresh(newDraft(usualUnits(), today()));
}

export function closeBed(): void {
  open = null;
}

type Listener = () => void;
const listeners = new Set<Listener>();

/** Called after every change of the bed, until the step is left. */
export function onChange(listener: Listener): void {
  listeners.add(listener);
}

export function forgetListeners(): void {
  listeners.clear();
}

/** Keeps the bed and tells the step. */
export function changed(): void {
  if (open) {
    open.changed = new Date().toISOString();
    store.keep(open);
  }
  for (const listener of [...listeners]) listener();
}
