// Quantities are texts with a unit, as bed files write them.

export interface Quantity {
  value: number;
  unit: string;
}

export type System = "metric" | "us" | "uk-garden";
export const SYSTEMS: readonly System[] = ["metric", "us", "uk-garden"];

export function systemOf(units: string | undefined): System {
  return SYSTEMS.find((system) => system === units) ?? "metric";
}

/** Metres in a unit of length. */
const METRES: Record<string, number> = { mm: 0.001, cm: 0.01, m: 1, in: 0.0254, ft: 0.3048, yd: 0.9144 };
/** Litres in a unit of volume; a barrow as the bed file has it where nothing is said. */
const LITRES: Record<string, number> = {
  ml: 0.001,
  L: 1,
  barrow: 80,
  "bulk-bag": 730,
  m3: 1000,
  "cu ft": 28.316846592,
  "cu yd": 764.554857984,
};

/** Reads "90 cm", "2 1/2 barrow" or "1/2 cu yd"; null where it has another form. */
export function parse(text: string): Quantity | null {
  const found = /^\s*(-?\d+(?:\.\d+)?)?(?:(?:^|\s+)(\d+)\/(\d+))?\s*([a-zA-Z][a-zA-Z0-9 -]*|%)\s*$/.exec(text);
  if (!found) return null;
  const [, whole, over, under, unit] = found;
  if ((whole === undefined && over === undefined) || unit === undefined) return null;
  const part = over !== undefined && under !== undefined ? Number(over) / Number(under) : 0;
  const value = Number(whole ?? 0) + part;
  return Number.isFinite(value) ? { value, unit: unit.trim() } : null;
}

/** A number without needless decimals. */
export function number(value: number, decimals = 2): string {
  const rounded = Number(value.toFixed(decimals));
  return Object.is(rounded, -0) ? "0" : String(rounded);
}

export const written = (value: number, unit: string): string => `${number(value)} ${unit}`;

export function metres(text: string | undefined): number | null {
  const quantity = text === undefined ? null : parse(text);
  const factor = quantity ? METRES[quantity.unit] : undefined;
  return quantity && factor !== undefined ? quantity.value * factor : null;
}

export function litres(text: string, measures: Record<string, string> = {}): number | null {
  const quantity = parse(text);
  if (!quantity) return null;
  const own = Object.hasOwn(measures, quantity.unit) ? measures[quantity.unit] : undefined;
  const each = own !== undefined ? litres(own) : LITRES[quantity.unit];
  return each === undefined || each === null ? null : quantity.value * each;
}

export const isLength = (unit: string): boolean => Object.hasOwn(METRES, unit);

/** The unit of lengths in a system. */
export const lengthUnit = (system: System): string => (system === "metric" ? "cm" : "in");

/** Units of an amount that the page offers. */
export function amountUnits(system: System): string[] {
  return [lengthUnit(system), "barrow", system === "us" ? "cu ft" : "L"];
}

/** What a unit is called beside its number. */
export function unitName(unit: string): string {
  const names: Record<string, string> = {
    in: "inches",
    L: "litres",
    barrow: "barrows",
    "cu ft": "cu ft",
  };
  return names[unit] ?? unit;
}

/** The next number up or down; small amounts go in small steps. */
export function stepped(value: number, unit: string, up: boolean): number {
  const steps: Record<string, [small: number, until: number, large: number]> = {
    cm: [1, 5, 5],
    in: [0.5, 2, 1],
    mm: [10, 100, 50],
    m: [0.1, 100, 0.1],
    ft: [0.5, 100, 0.5],
    L: [5, 40, 20],
    "cu ft": [0.5, 4, 1],
    "cu yd": [0.25, 4, 0.25],
    m3: [0.1, 100, 0.1],
    barrow: [0.5, 6, 1],
    kg: [5, 50, 10],
  };
  const [small, until, large] = steps[unit] ?? [1, 10, 5];
  const step = (up ? value >= until - 1e-9 : value > until + 1e-9) ? large : small;
  // Odd numbers go to the next whole step first.
  const next = up
    ? Math.floor(value / step + 1e-9) * step + step
    : Math.ceil(value / step - 1e-9) * step - step;
  return Math.max(0, Number(next.toFixed(3)));
}

/** A length in the words of a system, without its unit: whole cm, half inches. */
export function lengthFigure(length_m: number, system: System): string {
  if (system === "metric") return number(length_m * 100, 0);
  const halves = Math.round(length_m / 0.0254 * 2);
  const sign = halves < 0 ? "-" : "";
  const whole = Math.floor(Math.abs(halves) / 2);
  const half = Math.abs(halves) % 2 === 1 ? "½" : "";
  return whole === 0 && half !== "" ? sign + half : `${sign}${whole}${half}`;
}

/** A length with its unit. */
export function length(length_m: number, system: System): string {
  return `${lengthFigure(length_m, system)} ${lengthUnit(system)}`;
}

/** Converts an amount to another unit over an area; null where it cannot be. */
export function converted(text: string, unit: string, area_m2: number | null): string | null {
  const from = parse(text);
  if (!from) return null;
  const volume = isLength(from.unit)
    ? area_m2 === null ? null : from.value * (METRES[from.unit] ?? 0) * area_m2 * 1000
    : litres(text);
  if (isLength(from.unit) && isLength(unit)) {
    return roundedTo(from.value * (METRES[from.unit] ?? 0) / (METRES[unit] ?? 1), unit);
  }
  if (volume === null) return null;
  if (isLength(unit)) {
    return area_m2 === null ? null : roundedTo(volume / 1000 / area_m2 / (METRES[unit] ?? 1), unit);
  }
  return roundedTo(volume / (LITRES[unit] ?? 1), unit);
}

function roundedTo(value: number, unit: string): string {
  const step: Record<string, number> = { cm: 1, in: 0.5, L: 5, barrow: 0.5, "cu ft": 0.5 };
  const least = step[unit] ?? 0.1;
  return written(Math.max(least, Math.round(value / least) * least), unit);
}
