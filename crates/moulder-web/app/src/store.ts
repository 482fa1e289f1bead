// What this phone keeps. Every browser may refuse to keep anything: the page
// then goes on without and says so.

import { draftOf, newDraft, type Draft } from "./bed";

export interface Kept {
  id: string;
  draft: Draft;
  changed: string;
}

const BED = "moulder.bed.";
const NOW = "moulder.now";
const UNITS = "moulder.units";

let isRefused = false;

/** Whether the browser would not keep the last change. */
export const refuses = (): boolean => isRefused;

function attempt<T>(what: () => T, otherwise: T): T {
  try {
    return what();
  } catch {
    isRefused = true;
    return otherwise;
  }
}

/** Keeps a bed; tells whether that worked. */
export function keep(kept: Kept): boolean {
  return attempt(() => {
    localStorage.setItem(BED + kept.id, JSON.stringify(kept));
    localStorage.setItem(NOW, kept.id);
    isRefused = false;
    return true;
  }, false);
}

export function forget(id: string): void {
  attempt(() => localStorage.removeItem(BED + id), undefined);
}

// What was kept may come from an older page or another hand.
function read(text: string | null): Kept | null {
  if (text === null) return null;
  try {
    const value = JSON.parse(text) as Partial<Kept>;
    if (typeof value.id !== "string" || typeof value.changed !== "string") return null;
    return { id: value.id, changed: value.changed, draft: draftOf(value.draft) };
  } catch {
    return null;
  }
}

/** All beds, the last changed first. */
export function all(): Kept[] {
  return attempt(() => {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(BED));
    const found = keys.map((key) => read(localStorage.getItem(key)));
    return found
      .filter((kept): kept is Kept => kept !== null)
      .sort((one, other) => other.changed.localeCompare(one.changed));
  }, []);
}

/** The bed that was open last. */
export function last(): Kept | null {
  return attempt(() => {
    const id = localStorage.getItem(NOW);
    return id === null ? null : read(localStorage.getItem(BED + id));
  }, null);
}

export function units(): string | null {
  return attempt(() => localStorage.getItem(UNITS), null);
}

export function keepUnits(system: string): void {
  attempt(() => localStorage.setItem(UNITS, system), undefined);
}

/** A bed of its own entry. */
export function fresh(draft: Draft = newDraft("metric", "")): Kept {
  const id = `${Date.now().toString(36)}${Math.random().toString(36).slice(2, 6)}`;
  return { id, draft, changed: new Date().toISOString() };
}
