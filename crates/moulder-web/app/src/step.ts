// What a step of the page is, and how it is checked before one goes on.

import { isOnStructure, type Draft } from "./bed";
import { byId, el } from "./element";
import { faults } from "./engine";
import { refused, showFaults, type FieldFault } from "./field";
import type { Where } from "./state";
import { draft } from "./state";
import { faultInWords, today } from "./words";

export interface Step {
  /** The heading, which is a question where it can be one. */
  title: string;
  body: (Node | null)[];
  /** The words of the button that goes on; none for no button. */
  next?: { words: string; to: Where; onNext?: () => Promise<FieldFault[]> | FieldFault[] };
  /** A button in the bar that does what the step is for. */
  action?: { id: string; words: string; run: () => void };
  /** Called once the step stands in the page. */
  onShown?: () => void;
  /** Called when it is left. */
  onLeft?: () => void;
}

/** The steps of a new bed in order, with a word for each. */
export const ORDER = [
  ["shape", "Shape"],
  ["stands", "Ground"],
  ["place", "Place"],
  ["layers", "Layers"],
  ["filled", "Filling"],
  ["answer", "Answer"],
] as const;

// What has not been asked yet is stood in for, so that the rest can be judged.
function complete(given: Draft): Draft {
  const isBare = given.layer.length === 0;
  const length = "1 m";
  const bed = given.bed.shape
    ? given.bed
    : { ...given.bed, shape: "box", width: length, length, rim: length };
  return {
    ...given,
    filled: given.filled || today(),
    climate: given.climate ?? "Cambridge UK",
    bed,
    layer: isBare ? [{ put: [{ material: "loamy topsoil", amount: "5 cm" }] }] : given.layer,
  };
}

/** Faults of the parts of the document that a step asks for, by their fields. */
export async function faultsOf(
  fields: (pointer: string) => { id: string; label: string } | null,
): Promise<FieldFault[]> {
  const found = await faults(complete(draft()));
  const list: FieldFault[] = [];
  for (const fault of found) {
    const pointer = (fault.path ?? "").replace(/^\/bed/, "");
    const field = fields(pointer);
    if (field) list.push({ id: field.id, words: faultInWords(fault, field.label) });
  }
  return list;
}

/**
 * Checks a step while one edits: faults stand beside their fields at once. What is still missing
 * is told where it was told before.
 */
export async function review(
  fields: (pointer: string) => { id: string; label: string } | null,
  missing: () => FieldFault[] = () => [],
): Promise<void> {
  const before = refused();
  const found = await faultsOf(fields);
  if (refused() !== before) return;
  const told = missing().filter(({ id }) => !(byId(`${id}-fault`)?.hidden ?? true));
  showFaults([...told, ...found], false);
}

/** The card that stays where a bed stands on something that must bear it. */
export function stopCard(): HTMLElement | null {
  if (!isOnStructure(draft())) return null;
  const where = draft().bed["stands-on"] ?? "deck";
  return el(
    "aside",
    { id: "stop-card", class: "caution danger", "aria-label": "Stop" },
    el("b", {}, `Stop: a bed on a ${where}. `),
    "A filled bed is very heavy, and heavier after rain. Before you build, ask a structural engineer and follow local codes.",
  );
}

/** A caution in a box. */
export function caution(severity: string, words: string, id?: string): HTMLElement {
  const label = severity === "danger" ? "Danger" : severity === "warning" ? "Mind" : "Note";
  return el("div", { class: `caution ${severity}`, id: id ?? null }, el("b", {}, `${label}: `), words);
}
