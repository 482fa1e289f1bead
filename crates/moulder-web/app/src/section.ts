// The bed cut across, to scale, with a tape from the rim.

import { drawn, put } from "./element";
import type { Texture } from "./material";
import { lengthFigure, lengthUnit, type System } from "./quantity";

export interface Slice {
  thickness_m: number;
  texture: Texture;
  label: string;
}

export interface Cut {
  shape: string;
  width_m: number;
  /** None for a mound. */
  rim_m: number | null;
  trench_m: number;
  slope_deg: number;
  /** From the ground up. */
  slices: Slice[];
  /** The height when filled, as a line. */
  filled_m: number | null;
  /** Where the surface may lie, above the ground. */
  range: { low_m: number; high_m: number } | null;
  /** Height of the whole drawing, so that months have one scale. */
  tallest_m: number;
  /** Whether the depth below the rim is marked. */
  isMarked: boolean;
  system: System;
  about: string;
  /** Without tape and names. */
  isPlain?: boolean;
}

// Room for the drawing, and beside it for the tape and for names; px.
const FULL = { wide: 352, left: 54, right: 122 };
const PLAIN = { wide: 200, left: 14, right: 14 };
const TOP = 22;
const ROOM = 250;
const LEAST_LABEL = 15;

/** Draws a cut; the same element is filled again, so that the page stays still. */
export function drawCut(svg: SVGSVGElement, cut: Cut): void {
  const { wide, left, right: rightRoom } = cut.isPlain ? PLAIN : FULL;
  const bedWide = wide - left - rightRoom;
  const tall_m = Math.max(cut.tallest_m, cut.rim_m ?? 0, 0.2) + cut.trench_m;
  const width_m = cut.width_m > 0 ? cut.width_m : 1;
  // Wide beds are drawn narrower than they are: depth is what one reads.
  const least = (cut.shape === "mound" ? 110 : 150) / tall_m;
  const scale = Math.min(ROOM / tall_m, Math.max(bedWide / width_m, least));
  const half = Math.min(bedWide, width_m * scale) / 2;
  const across = (2 * half) / width_m;
  const middle = left + bedWide / 2;
  const high = tall_m * scale;
  const ground = TOP + (tall_m - cut.trench_m) * scale;
  const foot = ground + cut.trench_m * scale;
  const tall = TOP + high + 26;
  const yOf = (height_m: number): number => ground - height_m * scale;
  svg.setAttribute("viewBox", `0 0 ${wide} ${tall.toFixed(0)}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", cut.about);
  svg.replaceChildren();

  const halfAt = (y: number): number => {
    if (cut.shape === "mound") {
      const rise_m = Math.max(0, ground - y) / scale;
      return Math.max(2, half - (across * rise_m) / Math.tan((cut.slope_deg * Math.PI) / 180));
    }
    if (cut.shape === "bag") {
      // A filled bag bellies out a little between foot and rim.
      const share = Math.min(1, Math.max(0, (foot - y) / (foot - yOf(cut.rim_m ?? 0.5))));
      return half - 5 + 9 * Math.sin(Math.PI * share);
    }
    return half;
  };
  const points = (top: number, bottom: number): string => {
    const count = 8;
    const side = (sign: number, from: number, to: number): string[] =>
      Array.from({ length: count + 1 }, (_, at) => {
        const y = from + ((to - from) * at) / count;
        return `${(middle + sign * halfAt(y)).toFixed(1)} ${y.toFixed(1)}`;
      });
    return `M${[...side(-1, bottom, top), ...side(1, top, bottom)].join(" L")} Z`;
  };

  const soil = drawn("path", { class: "ground", d: `M0 ${ground} H${wide}` });
  const ticks = Array.from({ length: Math.floor(wide / 21) }, (_, at) => `M${at * 21 + 4} ${ground + 9} l7 -8`).join(" ");
  put(svg, [drawn("path", { class: "ground-hatch", d: ticks }), soil]);

  let bottom = foot;
  let labelBelow = Number.POSITIVE_INFINITY;
  const labels: SVGTextElement[] = [];
  for (const slice of cut.slices) {
    const top = bottom - slice.thickness_m * scale;
    if (slice.thickness_m > 0) {
      put(svg, [drawn("path", { class: "cut", fill: `url(#texture-${slice.texture})`, d: points(top, bottom) })]);
      const at = Math.min((top + bottom) / 2 + 4, labelBelow - LEAST_LABEL);
      labelBelow = at;
      labels.push(drawn("text", { class: "name", x: wide - rightRoom + 18, y: at.toFixed(1) }, shortened(slice.label)));
    }
    bottom = top;
  }
  const surface = bottom;
  if (cut.rim_m !== null) put(svg, sides(cut, middle, halfAt, yOf(cut.rim_m), foot, half));
  if (!cut.isPlain) put(svg, labels);

  const right = middle + half + 12;
  if (cut.filled_m !== null && Math.abs(yOf(cut.filled_m) - surface) > 3) {
    const y = yOf(cut.filled_m);
    put(svg, [drawn("path", { class: "as-filled", d: `M${middle - halfAt(y) + 3} ${y} H${middle + halfAt(y) - 3}` })]);
  }
  if (cut.range) {
    const top = yOf(cut.range.high_m);
    const low = yOf(cut.range.low_m);
    const x = right - 1;
    const reach = halfAt((top + low) / 2) - 6;
    put(svg, [
      drawn("rect", { class: "range", x: middle - reach, y: top, width: 2 * Math.max(1, reach), height: Math.max(1, low - top) }),
      drawn("path", { class: "range-ends", d: `M${x - 5} ${top} h5 V${low} h-5` }),
    ]);
  }
  if (!cut.isPlain) put(svg, tape(cut, yOf, surface, middle - half));
}

const shortened = (words: string): string => (words.length > 16 ? `${words.slice(0, 15)}…` : words);

function sides(
  cut: Cut,
  middle: number,
  halfAt: (y: number) => number,
  rim: number,
  foot: number,
  half: number,
): SVGElement[] {
  const steps = Array.from({ length: 9 }, (_, at) => rim + ((foot - rim) * at) / 8);
  const side = (sign: number): string =>
    `M${steps.map((y) => `${(middle + sign * (halfAt(y) + 2)).toFixed(1)} ${y.toFixed(1)}`).join(" L")}`;
  const made: SVGElement[] = [drawn("path", { class: `side side-${cut.shape}`, d: `${side(-1)} ${side(1)}` })];
  if (cut.shape === "bag") {
    const x = halfAt(rim);
    made.push(drawn("path", { class: "loop", d: `M${middle - x - 2} ${rim} q-7 -9 2 -11 q8 1 5 11 M${middle + x + 2} ${rim} q7 -9 -2 -11 q-8 1 -5 11` }));
  }
  if (cut.shape === "round") {
    made.push(drawn("path", { class: "loop", d: `M${middle - half - 2} ${rim} q${half + 2} -12 ${2 * half + 4} 0` }));
  }
  return made;
}

/** A tape from the rim down, or from the ground up beside a mound. */
function tape(cut: Cut, yOf: (height_m: number) => number, surface: number, left: number): SVGElement[] {
  const isMetric = cut.system === "metric";
  const each_m = isMetric ? 0.1 : 0.1524;
  const made: SVGElement[] = [];
  const zero_m = cut.rim_m ?? 0;
  const long_m = cut.rim_m === null ? cut.tallest_m : cut.rim_m + cut.trench_m;
  const x = left - 20;
  const sign = cut.rim_m === null ? 1 : -1;
  const count = Math.floor(long_m / each_m + 0.01);
  const gap = Math.abs(yOf(each_m) - yOf(0));
  const every = Math.max(1, Math.ceil(LEAST_LABEL / gap));
  made.push(drawn("rect", { class: "tape", x: x - 8, y: Math.min(yOf(zero_m), yOf(zero_m + sign * long_m)), width: 12, height: Math.abs(yOf(zero_m) - yOf(zero_m + sign * long_m)) }));
  for (let at = 0; at <= count; at += 1) {
    const y = yOf(zero_m + sign * at * each_m);
    made.push(drawn("path", { class: "tick", d: `M${x - 8} ${y} h${at % every === 0 ? 8 : 4}` }));
    if (at % every === 0) {
      const figure = lengthFigure(at * each_m, cut.system);
      made.push(drawn("text", { class: "figure", x: x - 12, y: y + 4 }, figure));
    }
  }
  const top = Math.min(yOf(zero_m), yOf(zero_m + sign * count * each_m));
  made.push(drawn("text", { class: "unit", x: x + 4, y: top - 6 }, lengthUnit(cut.system)));
  if (cut.isMarked && cut.rim_m !== null) {
    const from = yOf(cut.rim_m);
    if (Math.abs(surface - from) > 2) {
      made.push(drawn("rect", { class: "read", x: x - 8, y: Math.min(from, surface), width: 12, height: Math.abs(surface - from) }));
    }
  }
  made.push(drawn("path", { class: "pointer", d: `M${x + 4} ${surface} H${left - 2} m-6 -4 l6 4 l-6 4` }));
  return made;
}
