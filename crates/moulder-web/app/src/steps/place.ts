// Where the bed is, for its weather, and the day it was filled.

import { button, byId, el } from "../element";
import * as engine from "../engine";
import { showFaults, type FieldFault } from "../field";
import * as state from "../state";
import { faultsOf, review, type Step } from "../step";
import { today } from "../words";

const fields = (pointer: string): { id: string; label: string } | null => {
  if (pointer === "/filled") return { id: "filled", label: "The day" };
  if (pointer.startsWith("/climate/at/1")) return { id: "east", label: "Degrees east" };
  if (pointer.startsWith("/climate/at")) return { id: "north", label: "Degrees north" };
  if (pointer.startsWith("/climate")) return { id: "town", label: "Place" };
  return null;
};

function missing(): FieldFault[] {
  const { climate, filled } = state.draft();
  const list: FieldFault[] = [];
  if (!climate) list.push({ id: "town", words: "Choose a town, or give degrees." });
  if (!filled) list.push({ id: "filled", words: "Give the day it was filled." });
  return list;
}

/** The place in a few words. */
export function placeInWords(climate: unknown): string {
  if (typeof climate === "string") return climate;
  if (typeof climate !== "object" || climate === null) return "";
  const { name, at } = climate as { name?: unknown; at?: unknown };
  if (typeof name === "string") return name;
  if (!Array.isArray(at)) return "a climate of your own";
  const [north, east] = at.map(Number);
  const side = (value: number | undefined, up: string, down: string): string =>
    `${Math.abs(value ?? 0)}° ${(value ?? 0) < 0 ? down : up}`;
  return `${side(north, "north", "south")}, ${side(east, "east", "west")}`;
}

export function place(): Step {
  const chosen = el("div", { id: "chosen-place" });
  const finder = el("div", { id: "finder" });
  const input = el("input", {
    id: "town", type: "text", autocomplete: "off", autocapitalize: "words", spellcheck: "false",
    "aria-describedby": "town-fault town-hint",
  });
  const list = el("div", { id: "towns", class: "towns", hidden: true });
  const told = el("p", { id: "towns-told", class: "hint", role: "status" });
  let asked = 0;

  const choose = (label: string): void => {
    state.draft().climate = label;
    state.changed();
    void review(fields, missing);
    list.hidden = true;
    input.value = "";
    told.textContent = "";
    showChosen();
    byId("change-place")?.focus();
  };
  const find = async (): Promise<void> => {
    const begins = input.value.trim();
    asked += 1;
    const mine = asked;
    if (begins.length < 2) {
      list.hidden = true;
      told.textContent = "";
      return;
    }
    let found: engine.Town[];
    try {
      found = await engine.towns(begins);
    } catch {
      found = [];
    }
    if (mine !== asked) return;
    list.replaceChildren(
      ...found.map((town, at) => {
        const option = el("button", { type: "button", class: "button plain", id: `town-${at}` }, town.label);
        option.addEventListener("click", () => choose(town.label));
        return option;
      }),
    );
    list.hidden = found.length === 0;
    told.textContent = found.length > 0
      ? (found.length === 1 ? "One town: tap it." : `${found.length} towns, the largest first.`)
      : "No such town is known. Take the nearest larger one, or give degrees below.";
  };
  input.addEventListener("input", () => void find());
  // A name that can mean one town alone need not be tapped as well.
  const takeTyped = async (): Promise<void> => {
    await find();
    const typed = input.value.trim().toLowerCase();
    const options = [...list.querySelectorAll("button")];
    const named = options.filter(({ textContent }) => [textContent, textContent.split(",")[0]].some((name) => name?.toLowerCase() === typed));
    const [only, ...others] = options.length === 1 ? options : named;
    if (typed.length >= 2 && only && others.length === 0) choose(only.textContent ?? "");
  };
  // Arrows go from the field into the list and along it.
  const move = (event: KeyboardEvent): void => {
    if (event.key === "Enter" && event.target === input && !list.hidden) {
      event.preventDefault();
      list.querySelector("button")?.click();
    }
    if (event.key !== "ArrowDown" && event.key !== "ArrowUp") return;
    const options = [...list.querySelectorAll("button")];
    if (list.hidden || options.length === 0) return;
    event.preventDefault();
    const at = options.indexOf(document.activeElement as HTMLButtonElement);
    const next = event.key === "ArrowDown" ? at + 1 : at - 1;
    (options[next] ?? (next < 0 ? input : options[at]))?.focus();
  };
  input.addEventListener("keydown", move);
  list.addEventListener("keydown", move);

  const degrees = (): HTMLElement => {
    const { climate } = state.draft();
    const at = typeof climate === "object" && Array.isArray(climate["at"]) ? climate["at"] : [];
    const make = (id: string, label: string, value: unknown): HTMLInputElement => {
      const field = el("input", { id, type: "text", inputmode: "text", autocomplete: "off", class: "number", "aria-label": label, "aria-describedby": `${id}-fault degrees-hint` });
      field.value = typeof value === "number" ? String(value) : "";
      return field;
    };
    const north = make("north", "Degrees north", at[0]);
    const east = make("east", "Degrees east", at[1]);
    const take = (): void => {
      const read = [north, east].map((field) => Number(field.value.trim().replace(",", ".").replace("−", "-")));
      const wrong: FieldFault[] = [];
      if (north.value.trim() === "" || !Number.isFinite(read[0]) || Math.abs(read[0] ?? 0) > 90) wrong.push({ id: "north", words: "Degrees north: a number from -90 to 90." });
      if (east.value.trim() === "" || !Number.isFinite(read[1]) || Math.abs(read[1] ?? 0) > 180) wrong.push({ id: "east", words: "Degrees east: a number from -180 to 180." });
      if (wrong.length > 0) {
        showFaults(wrong, true);
        return;
      }
      state.draft().climate = { at: read };
      state.changed();
      void review(fields, missing);
      showChosen();
      byId("change-place")?.focus();
    };
    return el(
      "details",
      { id: "by-degrees" },
      el("summary", {}, "Or by degrees"),
      el("div", { class: "field" }, el("label", { for: "north" }, "Degrees north"), north, el("p", { class: "fault", id: "north-fault", hidden: true })),
      el("div", { class: "field" }, el("label", { for: "east" }, "Degrees east"), east, el("p", { class: "fault", id: "east-fault", hidden: true })),
      el("p", { class: "hint", id: "degrees-hint" }, "A map shows them, as in 45.76 and 4.84. South and west take a minus."),
      button("take-degrees", "Use these degrees", take),
    );
  };

  const showChosen = (isOpen = false): void => {
    const { climate } = state.draft();
    chosen.replaceChildren();
    finder.replaceChildren();
    if (climate && !isOpen) {
      const change = button("change-place", "Change", () => {
        showChosen(true);
        input.focus();
      }, "quiet");
      chosen.append(el("p", { class: "chosen" }, el("span", {}, "In "), el("b", { id: "place-now" }, placeInWords(climate))), change);
      return;
    }
    finder.append(
      el(
        "div",
        { class: "field" },
        el("label", { for: "town" }, "Town"),
        input,
        el("p", { class: "hint", id: "town-hint" }, "Type two letters. Its weather is known to this page."),
        el("p", { class: "fault", id: "town-fault", hidden: true }),
        list,
        told,
      ),
      degrees(),
    );
  };
  showChosen();

  const date = el("input", { id: "filled", type: "date", "aria-describedby": "filled-fault filled-hint", min: "1900-01-01", max: "2200-12-31" });
  date.value = state.draft().filled ?? "";
  const hint = el("p", { class: "hint", id: "filled-hint" });
  const say = (): void => {
    hint.textContent = (state.draft().filled ?? "") > today() ? "A day to come: this is a plan." : "The day the last layer went in.";
  };
  const onDay = (): void => {
    state.draft().filled = date.value;
    state.changed();
    say();
    void review(fields, missing);
  };
  date.addEventListener("change", onDay);
  const now = button("filled-today", "Today", () => {
    date.value = today();
    onDay();
  });
  say();
  return {
    title: "Where is it, and since when?",
    body: [
      chosen,
      finder,
      el(
        "div",
        { class: "field" },
        el("label", { for: "filled" }, "Filled on"),
        el("div", { class: "row" }, date, now),
        hint,
        el("p", { class: "fault", id: "filled-fault", hidden: true }),
      ),
    ],
    next: {
      words: "Next",
      to: { step: "layers" },
      onNext: async () => {
        if (!state.draft().climate && input.isConnected) await takeTyped();
        const wrong = missing();
        return wrong.length > 0 ? wrong : faultsOf(fields);
      },
    },
  };
}
