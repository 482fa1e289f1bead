// The bed as a file.

import { button, el } from "../element";
import { saveFile } from "../file";
import * as state from "../state";
import type { Step } from "../step";
import { toToml } from "../toml";

export function save(): Step {
  const draft = state.draft();
  const told = el("p", { id: "save-told", role: "status", class: "hint" });
  return {
    title: "Save the bed",
    body: [
      el("p", { class: "lead" }, "The file holds all that you told. This page opens it again, here or on another phone or computer, and so does the moulder command line."),
      button("save-file", "Save the file", () => (told.textContent = `${saveFile(draft)} is among your downloads.`), "main"),
      told,
      el("details", { id: "file-text" }, el("summary", {}, "What stands in it"), el("pre", { tabindex: 0 }, toToml(draft))),
    ],
  };
}
