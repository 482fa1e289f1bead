// How it was filled, and what is watered.

import type { Put } from "../bed";
import { el } from "../element";
import { choices, stepper, tick } from "../field";
import { isLength, parse, written } from "../quantity";
import * as state from "../state";
import { faultsOf, review, type Step } from "../step";

const WAYS = [
  { id: "tipped", label: "Tipped in", about: "loosely, as it came" },
  { id: "firmed", label: "Firmed", about: "pressed down by hand or with the back of a fork" },
  { id: "trodden", label: "Trodden", about: "walked on, layer by layer" },
  { id: "unknown", label: "I do not know", about: "the range gets wider" },
];

// Of no use for what came by the bag or the barrow: that is always as it was tipped in.
const MEASURED = [
  { id: "tipped", label: "Before that", about: "as it was tipped in" },
  { id: "in-place", label: "After that", about: "as it lay in the bed then" },
];

const fields = (pointer: string): { id: string; label: string } | null => {
  if (pointer.startsWith("/water")) return { id: "irrigation", label: "Water in a week" };
  if (pointer === "/name") return { id: "name", label: "Its name" };
  return pointer.includes("/then") ? { id: "way", label: "How it was filled" } : null;
};

/** What was put in by its depth. */
const byDepth = (): Put[] =>
  state.draft().layer.flatMap((layer) => layer.put.filter((put) => isLength(parse(put.amount)?.unit ?? "")));

/** When those depths were measured; none where they differ or nothing is said. */
function measuredNow(): string | undefined {
  const said = new Set(byDepth().map((put) => put["as"]));
  const [only] = said;
  return said.size === 1 && typeof only === "string" ? only : undefined;
}

/** How all layers were filled; none where they differ or nothing is said. */
function wayNow(): string | undefined {
  const ways = new Set(
    state.draft().layer.map((layer) => layer.then?.find((word) => word !== "watered") ?? (layer.then ? "tipped" : "unknown")),
  );
  return ways.size === 1 ? [...ways][0] : undefined;
}

export function filled(): Step {
  const draft = state.draft();
  let isWatered = draft.layer.length > 0 && draft.layer.every((layer) => layer.then?.includes("watered"));
  let way = wayNow();
  const measured = choices("measured", "When were the depths measured?", MEASURED, measuredNow(), (id) => {
    for (const put of byDepth()) put["as"] = id;
    state.changed();
  });
  // It makes a difference only where something was pressed.
  const showMeasured = (): void => {
    measured.hidden = !(way === "firmed" || way === "trodden") || byDepth().length === 0;
  };
  showMeasured();
  const tell = (): void => {
    showMeasured();
    for (const layer of draft.layer) {
      const now = way ?? layer.then?.find((word) => word !== "watered") ?? "unknown";
      if (now === "unknown" && !isWatered) delete layer.then;
      else if (now === "unknown") layer.then = ["watered"];
      else layer.then = isWatered ? [now, "watered"] : [now];
    }
    state.changed();
  };
  const water = draft.water ?? {};
  const given = typeof water["irrigation"] === "string" ? water["irrigation"] : written(0, state.system() === "us" ? "cu ft" : "L");
  const name = el("input", { id: "name", type: "text", maxlength: 200, autocomplete: "off", "aria-describedby": "name-fault" });
  name.value = draft.name ?? "";
  name.addEventListener("change", () => {
    const words = name.value.trim();
    if (words) draft.name = words;
    else delete draft.name;
    state.changed();
    void review(fields);
  });
  return {
    title: "How was it filled?",
    body: [
      choices("way", "How it was filled", WAYS, way, (id) => {
        way = id;
        tell();
      }, true),
      measured,
      tick("watered-in", "Each layer was watered in", isWatered, (is) => {
        isWatered = is;
        tell();
      }),
      stepper({
        id: "irrigation",
        label: "Watering in a week of summer, over the whole bed",
        text: given,
        hint: "0 for rain alone.",
        onChange: (text) => {
          const isNone = parse(text)?.value === 0;
          const more = { ...draft.water };
          if (isNone) delete more["irrigation"];
          else more["irrigation"] = text;
          if (Object.keys(more).length > 0) draft.water = more;
          else delete draft.water;
          state.changed();
          void review(fields);
        },
      }),
      el(
        "div",
        { class: "field" },
        el("label", { for: "name" }, "What do you call the bed? You may leave this empty."),
        name,
        el("p", { class: "fault", id: "name-fault", hidden: true }),
      ),
    ],
    next: { words: "How far will it sink?", to: { step: "answer" }, onNext: () => faultsOf(fields) },
  };
}
