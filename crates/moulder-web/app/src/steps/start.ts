// Where one begins: a new bed, the example, a file, or a bed kept here.

import type { Draft } from "../bed";
import { button, byId, drawn, el } from "../element";
import { go } from "../route";
import { readBed, saveFile } from "../file";
import * as state from "../state";
import { drawCut } from "../section";
import type { Step } from "../step";
import * as store from "../store";
import { inWords } from "../words";

/** An invented bed, so that one can look before one measures. */
export const EXAMPLE: Draft = {
  format: 1,
  name: "Bulk bag by the gate",
  filled: "2026-03-14",
  climate: "Cambridge UK",
  bed: { shape: "bag", width: "90 cm", length: "90 cm", rim: "90 cm", "stands-on": "ground" },
  layer: [
    { put: [{ material: "birch log", amount: "28 cm", across: "12 cm" }], then: ["tipped", "watered"] },
    {
      put: [
        { material: "woody prunings", amount: "3.5 barrow" },
        { material: "deciduous leaves", amount: "170 L" },
        { material: "brown card", amount: "70 L" },
        { material: "grass clippings", amount: "2 barrow" },
      ],
      then: ["tipped", "watered"],
    },
    { put: [{ material: "turf clods", amount: "15 cm" }], then: ["tipped", "watered"] },
    { put: [{ material: "loamy topsoil", amount: "10 cm" }], then: ["tipped", "watered"] },
  ],
};

// The example as filled and after a year; m, from its forecast with the best figures.
const BEFORE_AND_AFTER: [words: string, depths_m: number[]][] = [
  ["as filled", [0.280, 0.395, 0.150, 0.100]],
  ["a year later", [0.261, 0.172, 0.068, 0.053]],
];

function picture(): HTMLElement {
  const textures = ["logs", "prunings", "turf", "soil"] as const;
  const made = BEFORE_AND_AFTER.map(([words, depths]) => {
    const svg = drawn("svg", { class: "section" });
    drawCut(svg, {
      shape: "bag", width_m: 0.9, rim_m: 0.9, trench_m: 0, slope_deg: 0, filled_m: null, range: null,
      tallest_m: 0.93, isMarked: false, system: "metric", isPlain: true,
      slices: depths.map((thickness_m, at) => ({ thickness_m, texture: textures[at] ?? "soil", label: "" })),
      about: `A bulk bag ${words}`,
    });
    return el("figure", {}, svg, el("figcaption", {}, words));
  });
  return el("div", { class: "twice" }, ...made);
}

export function start(): Step {
  const kept = store.all();
  const picker = el("input", { type: "file", id: "open-file-input", accept: ".toml,.json,.txt,text/*,application/json", class: "unseen", tabindex: -1, "aria-label": "Bed file" });
  const told = el("p", { id: "open-fault", class: "fault", role: "alert", hidden: true });
  picker.addEventListener("change", () => {
    const file = picker.files?.[0];
    picker.value = "";
    if (file) void opened(file);
  });
  const opened = async (file: File): Promise<void> => {
    told.hidden = true;
    const read = await readBed(file);
    if ("draft" in read) {
      state.openBed(store.fresh(read.draft));
      state.changed();
      go({ step: "answer" });
      return;
    }
    told.replaceChildren(...read.words.flatMap((words) => [document.createTextNode(words), el("br")]));
    told.hidden = false;
  };
  const begin = (): void => {
    state.begin();
    go({ step: "shape" });
  };
  const example = (): void => {
    state.openBed(store.fresh(structuredClone(EXAMPLE)));
    state.draft().units = state.usualUnits();
    state.changed();
    go({ step: "answer" });
  };
  const rows = kept.map((bed) => row(bed));
  return {
    title: "How far will my bed sink?",
    body: [
      el("p", { class: "lead" }, "Deep beds of logs, prunings and soil sink. Say what is in yours and read how far, what to buy to top it up, and when."),
      picture(),
      el(
        "div",
        { class: "stack" },
        button("new-bed", "New bed", begin, "main"),
        button("try-example", "Try the example", example),
        button("open-file", "Open a file", () => picker.click()),
        picker,
        told,
      ),
      rows.length > 0 ? el("h2", {}, "On this phone") : null,
      rows.length > 0 ? el("ul", { class: "kept", id: "kept" }, ...rows) : null,
      el("p", { class: "promise", id: "promise" }, "Nothing leaves this phone: it works out everything itself. Only a link that you share holds the bed and its town."),
    ],
  };
}

function row(kept: store.Kept): HTMLLIElement {
  const { draft, id } = kept;
  const name = draft.name || "Unnamed bed";
  const day = draft.filled ? inWords(draft.filled) : "no day yet";
  const open = el("button", { type: "button", class: "button plain bed-row", id: `bed-${id}` }, el("b", {}, name), el("span", {}, `Filled ${day}`));
  open.addEventListener("click", () => {
    state.openBed(kept);
    state.changed();
    go({ step: nextUnanswered(draft) });
  });
  const holder = el("div", { class: "delete-ask", id: `ask-${id}`, hidden: true });
  const remove = button(`delete-${id}`, "Delete", () => ask(), "quiet");
  remove.setAttribute("aria-label", `Delete ${name}`);
  const ask = (): void => {
    const gone = (): void => {
      store.forget(id);
      if (state.openId() === id) state.closeBed();
      byId(`row-${id}`)?.remove();
      byId("new-bed")?.focus();
    };
    const away = (): void => {
      holder.hidden = true;
      remove.focus();
    };
    const really = button(`really-${id}`, "Yes, delete it", gone);
    holder.replaceChildren(
      el("p", {}, `Delete ${name} for good? Save its file first if you may want it back.`),
      button(`save-${id}`, "Save the file", () => saveFile(draft), "main"),
      really,
      button(`keep-${id}`, "Keep it", away),
    );
    holder.hidden = false;
    byId(`save-${id}`)?.focus();
  };
  return el("li", { id: `row-${id}` }, open, remove, holder);
}

/** The first step that a bed still lacks, or its answer. */
export function nextUnanswered(draft: Draft): state.StepName {
  if (!draft.bed.shape) return "shape";
  if (!draft.bed["stands-on"] && draft.layer.length === 0) return "stands";
  if (!draft.climate) return "place";
  if (draft.layer.length === 0) return "layers";
  return "answer";
}
