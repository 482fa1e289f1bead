// Fields: a number with less and more, a choice of a few, and their faults.

import { button, byId, el } from "./element";
import { number, parse, stepped } from "./quantity";

export interface Stepper {
  id: string;
  label: string;
  /** A quantity as a text, as the bed file has it. */
  text: string;
  onChange: (text: string) => void;
  /** Units to choose from; the one of the text alone where there is no choice. */
  units?: { unit: string; label: string }[];
  onUnit?: (unit: string) => void;
  unitLabel?: string;
  hint?: string;
}

/** A quantity with buttons for less and more beside a number that can be typed. */
export function stepper(given: Stepper): HTMLElement {
  const { id, label } = given;
  const quantity = parse(given.text);
  // "2 ft 6 in" and the like is shown as it is written.
  const unit = quantity?.unit ?? /[a-zA-Z]+ *$/.exec(given.text)?.[0] ?? "";
  const isPlain = quantity !== null || given.text.trim() === unit;
  const input = el("input", {
    id,
    type: "text",
    inputmode: isPlain ? "decimal" : "text",
    autocomplete: "off",
    spellcheck: "false",
    "aria-describedby": `${id}-fault${given.hint ? ` ${id}-hint` : ""}`,
    class: isPlain ? "number" : "number wide",
  });
  input.value = quantity ? number(quantity.value) : isPlain ? "" : given.text;
  const told = (): string => {
    const typed = input.value.trim().replace(",", ".");
    return isPlain ? `${typed} ${unit}`.trim() : typed;
  };
  input.addEventListener("change", () => given.onChange(told()));
  const step = (up: boolean) => () => {
    const now = parse(told());
    if (!now) return;
    const next = stepped(now.value, now.unit, up);
    input.value = number(next);
    given.onChange(told());
  };
  const less = button(`${id}-less`, "−", step(false));
  const more = button(`${id}-more`, "+", step(true));
  less.setAttribute("aria-label", `${label}: less`);
  more.setAttribute("aria-label", `${label}: more`);
  let unitPart: HTMLElement = el("span", { class: "unit" }, given.unitLabel ?? unit);
  if (given.units && given.units.length > 1) {
    const select = el("select", { id: `${id}-unit`, "aria-label": `${label}: measured in`, class: "unit" });
    for (const each of given.units) {
      const option = el("option", { value: each.unit }, each.label);
      option.selected = each.unit === unit;
      select.append(option);
    }
    select.addEventListener("change", () => given.onUnit?.(select.value));
    unitPart = select;
  }
  return el(
    "div",
    { class: "field stepper" },
    el("label", { for: id }, label),
    el("div", { class: "row" }, isPlain ? less : null, input, isPlain ? unitPart : null, isPlain ? more : null),
    given.hint ? el("p", { class: "hint", id: `${id}-hint` }, given.hint) : null,
    el("p", { class: "fault", id: `${id}-fault`, hidden: true }),
  );
}

export interface Choice {
  id: string;
  label: string;
  about?: string;
  picture?: Node;
}

/** One of a few, as large radio buttons. */
export function choices(
  name: string,
  legend: string,
  list: Choice[],
  chosen: string | undefined,
  onChoose: (id: string) => void,
  isLegendHidden = false,
): HTMLFieldSetElement {
  const cards = list.map(({ id, label, about, picture }) => {
    const input = el("input", { type: "radio", name, id: `${name}-${id}`, value: id });
    input.checked = id === chosen;
    input.addEventListener("change", () => onChoose(id));
    return el(
      "label",
      { class: "card", for: `${name}-${id}` },
      input,
      picture ?? null,
      el("span", { class: "card-words" }, el("b", {}, label), about ? el("span", {}, about) : null),
    );
  });
  return el(
    "fieldset",
    { class: `choices choices-${name}`, id: name, tabindex: -1 },
    el("legend", { class: isLegendHidden ? "unseen" : "" }, legend),
    ...cards,
    el("p", { class: "fault", id: `${name}-fault`, hidden: true }),
  );
}

/** A tick box. */
export function tick(id: string, label: string, is: boolean, onChange: (is: boolean) => void): HTMLElement {
  const input = el("input", { type: "checkbox", id });
  input.checked = is;
  input.addEventListener("change", () => onChange(input.checked));
  return el("label", { class: "card tick", for: id }, input, el("span", { class: "card-words" }, el("b", {}, label)));
}

export interface FieldFault {
  /** The field that it is about. */
  id: string;
  words: string;
}

let refusals = 0;

/** How often one was kept from going on; what was judged before that is out of date. */
export const refused = (): number => refusals;

/** Shows faults beside their fields and in a list at the top. */
export function showFaults(list: FieldFault[], isFocused: boolean): void {
  if (isFocused) refusals += 1;
  for (const place of document.querySelectorAll<HTMLElement>("main .fault")) {
    place.hidden = true;
    place.textContent = "";
  }
  for (const field of document.querySelectorAll("main [aria-invalid]")) field.removeAttribute("aria-invalid");
  const top = byId("faults");
  // A review that ends late must not take the focus from the list.
  const wasFocused = top !== null && top.contains(document.activeElement);
  top?.remove();
  if (list.length === 0) return;
  for (const { id, words } of list) {
    const place = byId(`${id}-fault`);
    if (place) {
      place.textContent = place.textContent ? `${place.textContent} ${words}` : words;
      place.hidden = false;
    }
    byId(id)?.setAttribute("aria-invalid", "true");
  }
  const lines = list.map(({ id, words }) => {
    const link = el("a", { href: `#${id}` }, words);
    link.addEventListener("click", (event) => {
      event.preventDefault();
      byId(id)?.focus();
      byId(id)?.scrollIntoView({ block: "center" });
    });
    return el("li", {}, link);
  });
  const box = el(
    "section",
    { id: "faults", class: "faults", tabindex: -1, "aria-labelledby": "faults-title" },
    el("h2", { id: "faults-title" }, list.length === 1 ? "One thing to put right" : `${list.length} things to put right`),
    el("ul", {}, ...lines),
  );
  document.querySelector("main h1")?.after(box);
  if (wasFocused) box.focus({ preventScroll: true });
  if (isFocused) {
    box.focus();
    box.scrollIntoView({ block: "start" });
  }
}
