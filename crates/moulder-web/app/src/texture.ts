// Textures of what lies in a bed, cut across: the same in the list of materials
// and in the drawing of the bed.

import { drawn } from "./element";
import type { Texture } from "./material";

type Mark = ReturnType<typeof drawn>;

const path = (d: string, kind: string): Mark => drawn("path", { d, class: kind });
const ring = (cx: number, cy: number, r: number): Mark[] => [
  drawn("circle", { cx, cy, r, class: "t-face" }),
  drawn("circle", { cx, cy, r: r * 0.55, class: "t-line" }),
  drawn("circle", { cx, cy, r: r * 0.15, class: "t-dot" }),
];
const dots = (at: [number, number, number][]): Mark[] =>
  at.map(([cx, cy, r]) => drawn("circle", { cx, cy, r, class: "t-dot" }));

const TILES: Record<Texture, { size: [number, number]; marks: () => Mark[] }> = {
  logs: { size: [44, 40], marks: () => [...ring(11, 10, 9.5), ...ring(33, 12, 10.5), ...ring(1, 30, 9.5), ...ring(45, 30, 9.5), ...ring(22, 30, 10)] },
  prunings: {
    size: [36, 24],
    marks: () => [
      path("M-2 6 L20 1 M8 12 L38 5 M-2 19 L16 14 M14 23 L38 16 M22 9 L26 14 M5 4 L9 8 M20 20 L17 25", "t-twig"),
      path("M2 10 L10 11 M24 2 L33 3 M27 20 L34 22 M3 23 L9 21", "t-line"),
    ],
  },
  chips: {
    size: [28, 22],
    marks: () => [path("M2 3 l7 -1 l1 4 l-7 1z M14 5 l6 3 l-2 4 l-6 -3z M4 12 l5 3 l-2 4 l-5 -2z M17 15 l8 -1 l0 4 l-7 1z M23 2 l4 2 l-2 4 l-3 -2z", "t-face")],
  },
  leaves: {
    size: [32, 22],
    marks: () => [
      path("M2 7 q7 -7 14 0 q-7 5 -14 0z M18 13 q7 -8 13 -2 q-5 7 -13 2z M3 19 q5 -6 12 -1 q-6 5 -12 1z M21 3 q5 -4 9 1 q-5 3 -9 -1z", "t-face"),
      path("M2 7 h14 M18 13 l13 -2 M3 19 l12 -1", "t-line"),
    ],
  },
  green: { size: [26, 22], marks: () => [path("M2 8 q4 -8 9 -5 M9 16 q2 -8 9 -7 M18 6 q4 -6 8 -3 M1 20 q4 -5 8 -3 M17 21 q5 -6 9 -3", "t-twig"), ...dots([[14, 3, 1.1], [22, 12, 1.2], [5, 13, 1.2]])] },
  card: { size: [12, 8], marks: () => [path("M0 1 H12", "t-twig"), path("M0 7 q3 -7 6 0 q3 -7 6 0", "t-line")] },
  straw: { size: [30, 18], marks: () => [path("M0 4 L18 2 M10 9 L32 6 M-2 14 L14 11 M18 15 L30 12 M6 17 L12 18 M20 2 L27 3", "t-twig")] },
  turf: { size: [30, 20], marks: () => [path("M0 15 H30", "t-line"), path("M2 15 l-1 -6 M6 15 l1 -8 M10 15 l-1 -5 M14 15 l2 -8 M18 15 l-1 -6 M23 15 l1 -8 M27 15 l-1 -5", "t-twig"), ...dots([[5, 18, 1], [15, 18, 1.3], [25, 18, 1]])] },
  muck: { size: [28, 20], marks: () => [path("M2 6 q4 -5 8 0 t8 0 M12 15 q4 -5 8 0 t8 0", "t-line"), ...dots([[22, 5, 1.8], [5, 14, 1.8], [15, 10, 1]])] },
  soil: { size: [24, 20], marks: () => dots([[3, 4, 1.5], [10, 2, 0.9], [17, 6, 1.7], [7, 10, 1], [13, 13, 1.6], [21, 13, 1], [4, 17, 1.2], [18, 18, 1.1]]) },
};

/** The patterns that drawings name; put once into the page. */
export function patterns(): SVGSVGElement {
  const made = Object.entries(TILES).map(([id, { size: [width, height], marks }]) =>
    drawn(
      "pattern",
      { id: `texture-${id}`, width, height, patternUnits: "userSpaceOnUse", class: `texture t-${id}` },
      drawn("rect", { width, height, class: "t-ground" }),
      ...marks(),
    ),
  );
  return drawn("svg", { class: "patterns", "aria-hidden": "true", width: 0, height: 0 }, drawn("defs", {}, ...made));
}

/** A small piece of a texture. */
export function swatch(texture: Texture): SVGSVGElement {
  return drawn(
    "svg",
    { class: "swatch", viewBox: "0 0 64 44", "aria-hidden": "true", focusable: "false" },
    drawn("rect", { x: 1, y: 1, width: 62, height: 42, rx: 3, fill: `url(#texture-${texture})`, class: "cut" }),
  );
}
