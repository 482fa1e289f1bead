// Puts one step at a time into the page.

import { isWhole } from "./bed";
import { button, byId, el, put } from "./element";
import * as engine from "./engine";
import { showFaults } from "./field";
import { SYSTEMS, systemOf, type System } from "./quantity";
import { back, go, onRoute, replace } from "./route";
import { holdsBed } from "./share";
import * as state from "./state";
import { ORDER, stopCard, type Step } from "./step";
import * as store from "./store";
import { added } from "./steps/added";
import { answer } from "./steps/answer";
import { filled } from "./steps/filled";
import { layers, pick } from "./steps/layers";
import { measured } from "./steps/measured";
import { open, takeLink } from "./steps/open";
import { place } from "./steps/place";
import { save } from "./steps/save";
import { shape } from "./steps/shape";
import { sheet } from "./steps/sheet";
import { stands } from "./steps/stands";
import { start } from "./steps/start";
import { patterns } from "./texture";

const STEPS: Record<state.StepName, (where: state.Where) => Step> = {
  start, open, shape, stands, place, layers, pick, filled, answer, measured, added, save, sheet,
};

const SYSTEM_NAMES: Record<System, string> = {
  metric: "cm, litres",
  us: "inches, cubic feet",
  "uk-garden": "inches, litres",
};

let shown: Step | null = null;
let isFirst = true;

/** Steps that a bed must have been begun for; the start stands in for them. */
function allowed(where: state.Where): state.Where {
  const isFree = where.step === "start" || where.step === "open";
  if (!isFree && !state.isOpen()) return { step: "start" };
  const needsWhole = ["answer", "measured", "added", "save", "sheet"].includes(where.step);
  if (needsWhole && !isWhole(state.draft())) return { step: "layers" };
  return Object.hasOwn(STEPS, where.step) ? where : { step: "start" };
}

function show(asked: state.Where): void {
  shown?.onLeft?.();
  state.forgetListeners();
  const where = allowed(asked);
  const step = STEPS[where.step](where);
  shown = step;
  const main = byId("main") as HTMLElement;
  const at = ORDER.findIndex(([name]) => name === where.step);
  const isStop = !["start", "open"].includes(where.step);
  const heading = el("h1", { id: "title", tabindex: -1 }, step.title);
  main.replaceChildren();
  main.dataset["step"] = where.step;
  put(main, [
    at >= 0 && where.step !== "answer" ? el("p", { class: "progress", id: "progress" }, `Step ${at + 1} of ${ORDER.length - 1}`) : null,
    heading,
    isStop && where.step !== "stands" ? stopCard() : null,
    store.refuses() ? el("p", { id: "not-kept", class: "caution warning", role: "status" }, "This browser keeps nothing: save the file before you leave.") : null,
    ...step.body,
  ]);
  bar(step, where);
  document.title = where.step === "start" ? "How far will my bed sink?" : `${step.title} – moulder`;
  step.onShown?.();
  if (!isFirst) {
    heading.focus({ preventScroll: true });
    scrollTo(0, 0);
  }
  isFirst = false;
}

/** The bar at the foot: back and on, within reach of a thumb. */
function bar(step: Step, where: state.Where): void {
  const place = byId("bar") as HTMLElement;
  place.replaceChildren();
  if (where.step === "start") {
    place.hidden = true;
    return;
  }
  place.hidden = false;
  const { next, action } = step;
  place.append(where.step === "answer" ? button("to-start", "All beds", () => go({ step: "start" })) : button("back", "Back", back));
  if (action) place.append(button(action.id, action.words, action.run, "main"));
  if (!next) return;
  const onward = (to: state.Where) => async (): Promise<void> => {
    let wrong;
    try {
      wrong = (await next.onNext?.()) ?? [];
    } catch (error) {
      wrong = [{ id: "title", words: `The engine could not be started here. ${String(error)}` }];
    }
    if (shown !== step) return;
    showFaults(wrong, true);
    if (wrong.length === 0) go(to);
  };
  const isAnswered = isWhole(state.draft()) && where.step !== "filled";
  if (isAnswered) place.append(button("to-answer", "Answer", () => void onward({ step: "answer" })()));
  place.append(button("next", next.words, () => void onward(next.to)(), "main"));
}

/** The units, at the foot of every step. */
function unitsField(): HTMLElement {
  const select = el("select", { id: "units" });
  const fill = (): void => {
    select.replaceChildren(
      ...SYSTEMS.map((system) => {
        const option = el("option", { value: system }, SYSTEM_NAMES[system]);
        option.selected = system === state.system();
        return option;
      }),
    );
  };
  fill();
  select.addEventListener("focus", fill);
  select.addEventListener("change", () => {
    const system = systemOf(select.value);
    state.chooseUnits(system);
    if (state.isOpen()) {
      state.draft().units = system;
      state.changed();
    }
    show((history.state as state.Where | null) ?? { step: "start" });
    byId("units")?.focus();
  });
  return el("div", { class: "units" }, el("label", { for: "units" }, "Units"), select);
}

function begin(): void {
  // The sheet hides all of this page at once, drawings of textures too.
  document.body.prepend(el("div", {}, patterns()));
  byId("foot")?.prepend(unitsField());
  onRoute(show);
  const kept = store.last();
  if (kept) state.openBed(kept);
  const follow = (): void => {
    takeLink(location.hash);
    replace({ step: "open" });
  };
  addEventListener("hashchange", () => {
    if (holdsBed(location.hash)) follow();
  });
  if (holdsBed(location.hash)) follow();
  else {
    const where = (history.state as state.Where | null) ?? { step: "start" };
    replace(where);
  }
  // The engine unpacks once the first picture stands.
  requestAnimationFrame(() => setTimeout(() => void engine.start().catch(() => {}), 0));
}

begin();
