// A bed that came by a link.

import { button, el } from "../element";
import { readBedText } from "../file";
import { replace } from "../route";
import { textOfLink } from "../share";
import * as state from "../state";
import type { Step } from "../step";
import * as store from "../store";

let hash = "";

/** Takes the part of the address that holds a bed. */
export function takeLink(from: string): void {
  hash = from;
}

export function open(): Step {
  const place = el("div", { id: "link-bed" }, el("p", { role: "status" }, "Reading the link …"));
  const refuse = (words: string[]): void => {
    place.replaceChildren(
      el("div", { id: "link-fault", class: "faults", role: "alert" }, ...words.map((each) => el("p", {}, each))),
      button("link-start", "To the start", () => replace({ step: "start" }), "main"),
    );
  };
  const read = async (): Promise<void> => {
    let text: string;
    try {
      text = await textOfLink(hash);
    } catch {
      refuse(["This link holds no bed that can be read. Perhaps a part of it is missing."]);
      return;
    }
    const found = await readBedText(text);
    if (!("draft" in found)) {
      refuse(["The bed in this link cannot be used.", ...found.words.slice(1)]);
      return;
    }
    const { draft } = found;
    const before = store.last();
    const take = (id?: string): void => {
      state.openBed({ ...store.fresh(draft), ...(id ? { id } : {}) });
      state.changed();
      replace({ step: "answer" });
    };
    if (!before || JSON.stringify(before.draft) === JSON.stringify(draft)) {
      take(before?.id);
      return;
    }
    place.replaceChildren(
      el("p", { class: "lead" }, "The link holds ", el("b", {}, draft.name || "an unnamed bed"), ". On this phone there is ", el("b", {}, before.draft.name || "an unnamed bed"), "."),
      el("div", { class: "stack" },
        button("link-both", "Keep both", () => take(), "main"),
        button("link-replace", "Replace mine", () => take(before.id)),
        button("link-leave", "Leave the link", () => replace({ step: "start" })),
      ),
    );
  };
  return { title: "A bed from a link", body: [place], onShown: () => void read() };
}
