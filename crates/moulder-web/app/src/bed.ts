// The bed document, format 1, as the page holds it. A draft may lack what has
// not been asked yet; what the page does not ask of is kept as it was given.

export interface Put {
  material: string;
  amount: string;
  [more: string]: unknown;
}

export interface Layer {
  put: Put[];
  then?: string[];
  [more: string]: unknown;
}

export interface Outline {
  shape?: string;
  width?: string;
  length?: string;
  across?: string;
  rim?: string;
  trench?: string;
  slope?: string;
  "stands-on"?: string;
  [more: string]: unknown;
}

export interface Reading {
  on: string;
  "below-rim"?: string;
  height?: string;
  [more: string]: unknown;
}

export interface Added {
  on: string;
  material: string;
  amount: string;
  [more: string]: unknown;
}

export interface Draft {
  format: 1;
  name?: string;
  filled?: string;
  climate?: string | Record<string, unknown>;
  units?: string;
  bed: Outline;
  measures?: Record<string, string>;
  layer: Layer[];
  water?: Record<string, unknown>;
  reading?: Reading[];
  added?: Added[];
  [more: string]: unknown;
}

/** Most characters of a bed file; the engine takes no more. */
export const MOST_BYTES = 256 * 1024;
const DEEPEST = 8;
const MOST_ENTRIES = 5000;

/** An empty draft. */
export function newDraft(units: string, today: string): Draft {
  return { format: 1, filled: today, units, bed: {}, layer: [] };
}

export const isMound = (draft: Draft): boolean => draft.bed.shape === "mound";

/** Whether a bed stands on something that must bear it. */
export function isOnStructure(draft: Draft): boolean {
  return ["deck", "balcony", "roof"].includes(draft.bed["stands-on"] ?? "");
}

/** Whether every step has been answered, so that the engine can be asked. */
export function isWhole(draft: Draft): boolean {
  return !!draft.bed.shape && !!draft.climate && !!draft.filled && draft.layer.length > 0;
}

/** A copy without prototypes, nothing and odd kinds; names with hyphens. */
export function plain(value: unknown): unknown {
  let left = MOST_ENTRIES;
  const copy = (given: unknown, depth: number): unknown => {
    left -= 1;
    if (depth > DEEPEST || left < 0) throw new Error("This is no bed file: it holds too much.");
    if (given instanceof Date) return given.toISOString().slice(0, 10);
    if (Array.isArray(given)) return given.map((each) => copy(each, depth + 1));
    if (typeof given === "bigint") return Number(given);
    if (typeof given === "object" && given !== null) {
      const made: Record<string, unknown> = {};
      for (const [name, each] of Object.entries(given)) {
        if (each === null || each === undefined) continue;
        Object.defineProperty(made, name, {
          value: copy(each, depth + 1),
          enumerable: true,
          writable: true,
          configurable: true,
        });
      }
      return made;
    }
    return given;
  };
  return copy(value, 0);
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

// Names of the owner's measures are words of his own: their underscores stay.
function withHyphens(value: unknown, isOwn = false): unknown {
  if (Array.isArray(value)) return value.map((each) => withHyphens(each));
  if (!isObject(value)) return value;
  const entries = Object.entries(value).map(([name, each]) => [
    isOwn ? name : name.replaceAll("_", "-"),
    withHyphens(each, name === "measures"),
  ]);
  return Object.fromEntries(entries);
}

/** A document that the engine has found right, as a draft. */
export function draftOf(value: unknown): Draft {
  const given = withHyphens(plain(value));
  if (!isObject(given) || !isObject(given["bed"]) || !Array.isArray(given["layer"])) {
    throw new Error("This is no bed file.");
  }
  const areLayers = given["layer"].every(
    (layer) =>
      isObject(layer) &&
      Array.isArray(layer["put"]) &&
      layer["put"].every((put) => isObject(put) && typeof put["material"] === "string"),
  );
  if (!areLayers) throw new Error("This is no bed file.");
  return { ...given, format: 1 } as unknown as Draft;
}
