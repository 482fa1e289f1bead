// What holds the filling, and how large it is.

import { isMound, type Outline } from "../bed";
import { button, byId, drawn, el } from "../element";
import { choices, showFaults, stepper, type FieldFault } from "../field";
import { lengthUnit, written, type System } from "../quantity";
import * as state from "../state";
import { caution, faultsOf, review, type Step } from "../step";

type Shape = "box" | "round" | "bag" | "mound";

// Usual sizes: cm, and inches where these are measured.
const SIZES: Record<Shape, Record<string, [cm: number, inches: number]>> = {
  box: { width: [120, 48], length: [240, 96], rim: [60, 24] },
  round: { across: [120, 48], rim: [60, 24] },
  bag: { width: [90, 36], length: [90, 36], rim: [90, 36] },
  mound: { width: [200, 80], length: [300, 120] },
};

const LABELS: Record<string, string> = {
  width: "Width inside",
  length: "Length inside",
  across: "Across, inside",
  rim: "Rim above the ground",
  trench: "Dug in below the ground",
};

const outline = (d: string) =>
  drawn("svg", { class: "outline", viewBox: "0 0 72 52", "aria-hidden": "true" }, drawn("path", { d }));

const PICTURES: Record<Shape, string> = {
  box: "M4 44 H68 M10 44 V16 H62 V44 M10 25 H62 M10 34 H62",
  round: "M4 44 H68 M14 15 V42 q22 8 44 0 V15 M14 15 a22 6 0 0 1 44 0 a22 6 0 0 1 -44 0",
  bag: "M4 44 H68 M18 44 q-7 -14 -1 -30 H55 q6 16 -1 30 M17 14 q-4 -8 3 -8 q5 1 3 8 M55 14 q4 -8 -3 -8 q-5 1 -3 8",
  mound: "M4 44 H68 M9 44 L24 17 H48 L63 44",
};

function preset(shape: Shape, system: System): void {
  const draft = state.draft();
  const unit = lengthUnit(system);
  const kept = draft.bed["stands-on"];
  const bed: Outline = { shape };
  for (const [name, [cm, inches]] of Object.entries(SIZES[shape])) {
    bed[name] = written(system === "metric" ? cm : inches, unit);
  }
  if (shape === "mound") bed.slope = "40 deg";
  if (kept) bed["stands-on"] = kept;
  draft.bed = bed;
}

const fields = (pointer: string): { id: string; label: string } | null => {
  const name = /^\/bed\/(\w+)$/.exec(pointer)?.[1];
  if (name === "shape") return { id: "shape", label: "Shape" };
  return name !== undefined && LABELS[name] ? { id: name, label: sizeLabel(name) } : null;
};

function sizeLabel(name: string): string {
  if (isMound(state.draft()) && name === "width") return "Width at the foot";
  if (isMound(state.draft()) && name === "length") return "Length at the foot";
  return LABELS[name] ?? name;
}

export function shape(): Step {
  const sizes = el("div", { id: "sizes" });
  const isDug = (): boolean => !/^0(\.0*)? /.test(state.draft().bed.trench ?? "0 cm");

  const size = (name: keyof Outline & string): HTMLElement =>
    stepper({
      id: name,
      label: sizeLabel(name),
      text: String(state.draft().bed[name] ?? ""),
      onChange: (text) => {
        state.draft().bed[name] = text;
        if (name === "trench") showDug();
        state.changed();
        void review(fields);
      },
    });

  const dug = el("div", { id: "dug" });
  const showDug = (): void => {
    dug.replaceChildren();
    if (isDug()) {
      dug.append(caution("danger", "Before you dig, have cables and pipes located. Ask those who own them; local rules come first.", "dig-card"));
    }
  };

  const showSizes = (): void => {
    const { bed } = state.draft();
    sizes.replaceChildren();
    if (!bed.shape) return;
    sizes.append(el("h2", {}, "How large?"));
    for (const name of ["width", "length", "across", "rim"] as const) {
      if (bed[name] !== undefined) sizes.append(size(name));
    }
    if (bed.shape === "mound") {
      const slopes = [
        { id: "30", label: "Low", about: "30°" },
        { id: "40", label: "Middling", about: "40°" },
        { id: "50", label: "Steep", about: "50°" },
      ];
      const now = /^\d+/.exec(bed.slope ?? "")?.[0];
      sizes.append(
        choices("slope", "Its sides", slopes, now, (id) => {
          state.draft().bed.slope = `${id} deg`;
          state.changed();
        }),
      );
    }
    if (bed.trench === undefined) {
      const open = button("dig-in", "It is dug in below the ground", () => {
        state.draft().bed.trench = written(state.system() === "metric" ? 20 : 8, lengthUnit(state.system()));
        state.changed();
        showSizes();
        byId("trench")?.focus();
      }, "quiet");
      sizes.append(open);
    } else {
      sizes.append(size("trench"));
    }
    sizes.append(dug);
    showDug();
  };
  showSizes();

  const list = (Object.keys(PICTURES) as Shape[]).map((id) => ({
    id,
    label: { box: "Box", round: "Round", bag: "Bag", mound: "Mound" }[id],
    about: { box: "boards, sheet or stone", round: "ring, tub or tank", bag: "a builder's bulk bag", mound: "a heap with no sides" }[id],
    picture: outline(PICTURES[id]),
  }));
  return {
    title: "What holds the filling?",
    body: [
      choices("shape", "Shape", list, state.draft().bed.shape, (id) => {
        preset(id as Shape, state.system());
        state.changed();
        showFaults([], false);
        showSizes();
      }, true),
      sizes,
    ],
    next: {
      words: "Next",
      to: { step: "stands" },
      onNext: async (): Promise<FieldFault[]> => {
        if (!state.draft().bed.shape) return [{ id: "shape", words: "Choose what holds the filling." }];
        return faultsOf(fields);
      },
    },
  };
}
