// Something that was laid on later.

import type { Added } from "../bed";
import { button, el } from "../element";
import * as engine from "../engine";
import { showFaults, stepper } from "../field";
import { amountUnits, converted, unitName, written } from "../quantity";
import { back, go } from "../route";
import * as state from "../state";
import type { Step } from "../step";
import { area_m2 } from "../cut";
import { capital, faultInWords, today } from "../words";
import { takePicked } from "./layers";

let material = "loamy topsoil";
let amount = "";

export function added(): Step {
  const draft = state.draft();
  const system = state.system();
  material = takePicked() ?? material;
  amount ||= system === "us" ? "2 cu ft" : "80 L";
  const place = el("div", {});
  const show = (): void => {
    place.replaceChildren(
      stepper({
        id: "added-amount",
        label: "How much",
        text: amount,
        units: amountUnits(system).map((unit) => ({ unit, label: unitName(unit) })),
        onChange: (text) => (amount = text),
        onUnit: (unit) => {
          amount = converted(amount, unit, area_m2(draft)) ?? written(1, unit);
          show();
        },
      }),
    );
  };
  show();
  const date = el("input", { id: "added-on", type: "date", "aria-describedby": "added-on-fault" });
  date.value = today() < (draft.filled ?? "") ? draft.filled ?? today() : today();
  const keep = async (): Promise<void> => {
    const entry: Added = { on: date.value, material, amount };
    const list = [...(draft.added ?? []), entry].sort((one, other) => one.on.localeCompare(other.on));
    const found = await engine.faults({ ...draft, added: list });
    if (found.length > 0) {
      showFaults(found.map((fault) => {
        const isDay = (fault.path ?? "").endsWith("/on");
        return { id: isDay ? "added-on" : "added-amount", words: faultInWords(fault) };
      }), true);
      return;
    }
    draft.added = list;
    amount = "";
    state.changed();
    back();
  };
  return {
    title: "What did you add?",
    body: [
      el("div", { class: "chosen-row" }, el("p", { class: "chosen" }, el("b", { id: "added-material" }, capital(material))), button("added-pick", "Something else", () => go({ step: "pick", for: "added" }), "quiet")),
      place,
      el("div", { class: "field" }, el("label", { for: "added-on" }, "On"), date, el("p", { class: "fault", id: "added-on-fault", hidden: true }), el("p", { class: "hint" }, "A day to come will do as well.")),
    ],
    action: { id: "keep-added", words: "Keep it", run: () => void keep() },
  };
}
