// Materials in the groups that a gardener thinks in.

export interface Material {
  name: string;
  also: string[];
  about: string;
  class: string;
  form: string;
}

export type Texture =
  | "logs" | "prunings" | "chips" | "leaves" | "green" | "card" | "straw" | "turf" | "soil" | "muck";

export interface Group {
  id: Texture;
  label: string;
  /** What a tap on the group puts in. */
  usual: string;
  /** Its usual depth; cm and inches. */
  depth: [cm: number, inches: number];
}

/** Groups of the list, lowest first as beds are mostly filled. */
export const GROUPS: readonly Group[] = [
  { id: "logs", label: "Logs", usual: "hardwood log", depth: [30, 12] },
  { id: "prunings", label: "Prunings", usual: "woody prunings", depth: [30, 12] },
  { id: "chips", label: "Wood chips", usual: "wood chips", depth: [20, 8] },
  { id: "leaves", label: "Leaves", usual: "deciduous leaves", depth: [20, 8] },
  { id: "green", label: "Green waste", usual: "mixed green waste", depth: [20, 8] },
  { id: "straw", label: "Straw, hay", usual: "straw", depth: [15, 6] },
  { id: "card", label: "Card", usual: "brown card", depth: [2, 1] },
  { id: "turf", label: "Turf", usual: "turf", depth: [10, 4] },
  { id: "muck", label: "Manure", usual: "horse manure", depth: [10, 4] },
  { id: "soil", label: "Soil, compost", usual: "loamy topsoil", depth: [20, 8] },
];

/** Groups on the first picture-list; the others are behind "more". */
export const FIRST: readonly Texture[] = ["logs", "prunings", "leaves", "green", "card", "turf", "soil"];

const BY_NAME: [RegExp, Texture][] = [
  [/ log$/, "logs"],
  [/prunings$|^twigs$|^hedge/, "prunings"],
  [/chips$|^bark$|^sawdust$/, "chips"],
  [/leaves$|^needles$/, "leaves"],
  [/^straw|^hay$/, "straw"],
  [/card$/, "card"],
  [/^turf/, "turf"],
  [/manure$|^wool$/, "muck"],
];

/** The group of a material, by its name and, for one of your own, its class. */
export function groupOf(name: string, kind?: string): Texture {
  const known = BY_NAME.find(([pattern]) => pattern.test(name));
  if (known) return known[1];
  if (kind === "soil" || /soil|compost|mould|mix$|^biochar/.test(name)) return "soil";
  return kind === "wood" ? "prunings" : "green";
}

export function group(id: Texture): Group {
  return GROUPS.find((each) => each.id === id) ?? (GROUPS[0] as Group);
}
