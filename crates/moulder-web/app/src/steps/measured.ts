// A reading: from the rim down to the soil, in up to three spots.

import { isMound, type Reading } from "../bed";
import { byId, button, el } from "../element";
import * as engine from "../engine";
import { showFaults, type FieldFault } from "../field";
import * as outlook from "../outlook";
import { length, lengthFigure, lengthUnit, number } from "../quantity";
import { back } from "../route";
import * as state from "../state";
import type { Step } from "../step";
import { dayNumber, faultInWords, inWords, today } from "../words";

/** What is expected on a day: of heights for a mound, else below the rim; m. */
function expected(day: string, mound: boolean): { low: number; high: number } | null {
  const rows = outlook.current().ranged?.intervals ?? [];
  const first = rows[0];
  if (!first) return null;
  let best = first;
  for (const row of rows) {
    if (Math.abs(dayNumber(row.date) - dayNumber(day)) < Math.abs(dayNumber(best.date) - dayNumber(day))) best = row;
  }
  const spread = mound ? best.height_m : best.below_rim_m;
  return spread ? { low: spread.lower, high: spread.upper } : null;
}

export function measured(): Step {
  const draft = state.draft();
  const system = state.system();
  const mound = isMound(draft);
  const unit = lengthUnit(system);
  const unit_m = system === "metric" ? 0.01 : 0.0254;
  const spots = [1, 2, 3].map((at) => {
    const input = el("input", { id: `spot-${at}`, type: "text", inputmode: "text", autocomplete: "off", class: "number", "aria-describedby": `spot-${at}-fault` });
    return input;
  });
  const date = el("input", { id: "measured-on", type: "date", "aria-describedby": "measured-on-fault" });
  date.value = today() < (draft.filled ?? "") ? draft.filled ?? today() : today();
  const odd = el("div", { id: "odd", role: "alert" });

  const read = (): { value: number } | FieldFault[] => {
    const wrong: FieldFault[] = [];
    const values: number[] = [];
    spots.forEach((input, at) => {
      const text = input.value.trim().replace(",", ".").replace("−", "-").replace(/\s*(cm|in|inches)$/, "");
      if (text === "") return;
      const value = Number(text);
      if (Number.isFinite(value)) values.push(value);
      else wrong.push({ id: `spot-${at + 1}`, words: `Spot ${at + 1}: write a number of ${unit}.` });
    });
    if (values.length === 0 && wrong.length === 0) wrong.push({ id: "spot-1", words: "Write what the tape says in one spot at least." });
    if (wrong.length > 0) return wrong;
    return { value: values.reduce((sum, each) => sum + each, 0) / values.length };
  };

  const keep = async (value: number): Promise<void> => {
    const name = mound ? "height" : "below-rim";
    const reading: Reading = { on: date.value, [name]: `${number(value, 1)} ${unit}` };
    const list = [...(draft.reading ?? []).filter((each) => each.on !== date.value), reading];
    list.sort((one, other) => one.on.localeCompare(other.on));
    const found = await engine.faults({ ...draft, reading: list });
    if (found.length > 0) {
      const isDay = (path: string | undefined): boolean => (path ?? "").endsWith("/on");
      showFaults(found.map((fault) => ({ id: isDay(fault.path) ? "measured-on" : "spot-1", words: faultInWords(fault) })), true);
      return;
    }
    draft.reading = list;
    state.changed();
    back();
  };

  const onward = async (): Promise<void> => {
    odd.replaceChildren();
    const given = read();
    if (Array.isArray(given)) {
      showFaults(given, true);
      return;
    }
    showFaults([], false);
    const range = expected(date.value, mound);
    const found = given.value * unit_m;
    // A little outside the range is nothing to ask about.
    const room = range ? Math.max(0.03, (range.high - range.low) / 2) : 0;
    if (range && (found < range.low - room || found > range.high + room)) {
      const from = mound ? "From the ground up?" : "From this rim?";
      odd.append(
        el("div", { class: "caution warning", id: "odd-card" },
          el("p", {}, el("b", {}, `Expected ${lengthFigure(range.low, system)} to ${length(range.high, system)}. `), `You have ${number(given.value, 1)} ${unit}. ${from} Is it ${unit}?`),
          el("div", { class: "row" },
            button("odd-keep", "It is right: keep it", () => void keep(given.value), "main"),
            button("odd-change", "Change it", () => {
              odd.replaceChildren();
              byId("spot-1")?.focus();
            }),
          ),
        ),
      );
      byId("odd-keep")?.focus();
      return;
    }
    await keep(given.value);
  };

  return {
    title: mound ? "How high is it now?" : "How far below the rim is it now?",
    body: [
      el("p", { class: "lead" }, mound ? "From the ground up to the soil at the top. One spot will do; three are better." : "Lay a board across the rim and hold the tape down to the soil. One spot will do; three are better. Above the rim takes a minus."),
      el("div", { class: "spots" }, ...spots.map((input, at) =>
        el("div", { class: "field" }, el("label", { for: `spot-${at + 1}` }, `Spot ${at + 1}`), el("div", { class: "row" }, input, el("span", { class: "unit" }, unit)), el("p", { class: "fault", id: `spot-${at + 1}-fault`, hidden: true })),
      )),
      el("div", { class: "field" }, el("label", { for: "measured-on" }, "On"), date, el("p", { class: "fault", id: "measured-on-fault", hidden: true }), el("p", { class: "hint" }, `Before anything was laid on that day. It was filled on ${inWords(draft.filled ?? "")}.`)),
      odd,
    ],
    action: { id: "keep-reading", words: "Keep the reading", run: () => void onward() },
  };
}
