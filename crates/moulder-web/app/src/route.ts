// Steps are entries of the browser's history, so that Back keeps all.

import type { Where } from "./state";

type Show = (where: Where) => void;
let show: Show = () => {};

/** Tells how a step is shown. */
export function onRoute(how: Show): void {
  show = how;
  addEventListener("popstate", (event) => {
    show((event.state as Where | null) ?? { step: "start" });
  });
}

export function go(where: Where): void {
  history.pushState(where, "");
  show(where);
}

/** Shows a step in place of the one that is shown. */
export function replace(where: Where): void {
  history.replaceState(where, "", location.href.split("#")[0]);
  show(where);
}

export function back(): void {
  history.back();
}
