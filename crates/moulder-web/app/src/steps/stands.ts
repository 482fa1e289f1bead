// What the bed stands on. Nothing is preset: the answer decides a danger.

import { byId, el } from "../element";
import { choices, showFaults } from "../field";
import * as state from "../state";
import { stopCard, type Step } from "../step";

const LIST = [
  { id: "ground", label: "Ground", about: "soil, lawn, gravel" },
  { id: "paving", label: "Paving", about: "slabs or concrete on the ground" },
  { id: "deck", label: "Deck", about: "boards on posts" },
  { id: "balcony", label: "Balcony", about: "" },
  { id: "roof", label: "Roof", about: "a flat roof or terrace above rooms" },
];

export function stands(): Step {
  const card = el("div", { id: "stands-card", role: "status" });
  const show = (): void => {
    // The card above the steps says the same to who comes back to this one.
    byId("stop-card")?.remove();
    card.replaceChildren();
    const stop = stopCard();
    if (stop) card.append(stop);
  };
  return {
    title: "What does it stand on?",
    body: [
      choices("stands-on", "It stands on", LIST, state.draft().bed["stands-on"], (id) => {
        state.draft().bed["stands-on"] = id;
        state.changed();
        showFaults([], false);
        show();
      }, true),
      card,
    ],
    onShown: show,
    next: {
      words: "Next",
      to: { step: "place" },
      onNext: () =>
        state.draft().bed["stands-on"] ? [] : [{ id: "stands-on", words: "Choose what it stands on." }],
    },
  };
}
