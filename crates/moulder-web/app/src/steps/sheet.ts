// The sheet to hang beside the bed, as the engine sets it.

import { button, el } from "../element";
import * as engine from "../engine";
import { back } from "../route";
import * as state from "../state";
import type { Step } from "../step";
import { today } from "../words";

const PAPERS = [
  ["a4", "A4"],
  ["letter", "Letter"],
  ["a5", "A5"],
] as const;

const BAR = `
.page-bar{position:sticky;bottom:0;display:flex;flex-wrap:wrap;gap:8px;padding:8px 0;background:var(--paper)}
.page-bar>*{min-height:56px;min-width:56px;padding:0 20px;font:inherit;color:inherit;background:var(--ground);border:2px solid currentColor;border-radius:6px}
.page-bar>:focus-visible{outline:4px solid var(--link);outline-offset:2px}
@media print{.page-bar{display:none}}
`;

let paper: string | null = null;

/** The sheet takes the whole page, with its own look; leaving puts ours back. */
export function sheet(): Step {
  const told = el("p", { id: "sheet-told", role: "status" }, "Setting the sheet. This may take half a minute on a phone.");
  const stopper = new AbortController();
  let leave = (): void => {};
  paper ??= state.system() === "us" ? "letter" : "a4";
  const show = async (): Promise<void> => {
    leave();
    let html: string;
    try {
      ({ html } = await engine.report(state.draft(), today(), paper ?? "a4", stopper.signal));
    } catch (error) {
      if (!engine.isStopped(error)) told.textContent = "The sheet could not be set.";
      return;
    }
    // The policy of this page forbids styles in markup, even in what is only read.
    const looks: CSSStyleSheet[] = [];
    const bare = html.replace(/<style>([^<]*)<\/style>/g, (_, text: string) => {
      const look = new CSSStyleSheet();
      look.replaceSync(text);
      looks.push(look);
      return "";
    });
    const made = new DOMParser().parseFromString(bare, "text/html");
    const bar = new CSSStyleSheet();
    bar.replaceSync(BAR);
    // The sheet's words are the engine's, escaped by it; what could run is left out all the same.
    for (const each of made.querySelectorAll("script, style, iframe, object, embed, link, meta, base, form, img")) each.remove();
    const whole = el("div", { id: "sheet", lang: "en-GB" });
    for (const node of [...made.body.childNodes]) whole.append(document.importNode(node, true));
    const choose = el("select", { id: "paper", "aria-label": "Paper" }, ...PAPERS.map(([id, label]) => {
      const option = el("option", { value: id }, label);
      option.selected = id === paper;
      return option;
    }));
    choose.addEventListener("change", () => {
      paper = choose.value;
      void show();
    });
    const tools = el("nav", { class: "page-bar", "aria-label": "Sheet" }, button("sheet-back", "Back", back), choose, button("sheet-print", "Print", () => print()));
    const ours = [...document.body.children].filter((each): each is HTMLElement => each instanceof HTMLElement && each.tagName !== "SCRIPT" && !each.hidden);
    const style = document.getElementById("style") as HTMLStyleElement | null;
    // A copy: the list itself changes with what is adopted.
    const before = [...document.adoptedStyleSheets];
    const kind = document.body.className;
    for (const each of ours) each.hidden = true;
    if (style?.sheet) style.sheet.disabled = true;
    document.body.className = made.body.className;
    document.adoptedStyleSheets = [...looks, bar];
    document.body.append(whole, tools);
    whole.setAttribute("tabindex", "-1");
    leave = () => {
      whole.remove();
      tools.remove();
      document.adoptedStyleSheets = before;
      if (style?.sheet) style.sheet.disabled = false;
      document.body.className = kind;
      for (const each of ours) each.hidden = false;
      leave = () => {};
    };
    document.getElementById("sheet-print")?.focus();
  };
  return {
    title: "The sheet",
    body: [told],
    onShown: () => void show(),
    onLeft: () => {
      stopper.abort();
      leave();
    },
  };
}
