// How far it sinks, what to buy and to feed, and what to mind.

import { isMound } from "../bed";
import { cutAtMonth } from "../cut";
import { button, byId, drawn, el } from "../element";
import * as engine from "../engine";
import type { Material } from "../material";
import * as outlook from "../outlook";
import { length, lengthFigure, lengthUnit, number, type System } from "../quantity";
import { go } from "../route";
import { drawCut } from "../section";
import * as state from "../state";
import { caution, type Step } from "../step";
import { linkOf } from "../share";
import { capital, dayNumber, faultInWords, inWords, monthInWords, monthLetters, nextAutumn, today } from "../words";
import { layerName } from "./layers";
import { placeInWords } from "./place";

/** A figure and the range it may lie in. */
interface Figure {
  mean: number;
  lower: number | null;
  upper: number | null;
}

/** The depth below the rim, or of a mound how much lower it is, on a day. */
export function figureOn(forecast: engine.Forecast, day: string): Figure | null {
  const at = dayNumber(day);
  const rows = forecast.months;
  const next = rows.findIndex((row) => dayNumber(row.date) >= at);
  const last = next === -1 ? rows.length - 1 : next;
  const first = Math.max(0, last - 1);
  const from = rows[first];
  const to = rows[last];
  if (!from || !to) return null;
  const span = dayNumber(to.date) - dayNumber(from.date);
  const share = span <= 0 ? 1 : Math.min(1, Math.max(0, (at - dayNumber(from.date)) / span));
  const one = figureAt(forecast, first);
  const other = figureAt(forecast, last);
  if (!one || !other) return null;
  const mixed = (a: number | null, b: number | null): number | null => (a === null || b === null ? null : a + (b - a) * share);
  return { mean: mixed(one.mean, other.mean) ?? other.mean, lower: mixed(one.lower, other.lower), upper: mixed(one.upper, other.upper) };
}

function figureAt(forecast: engine.Forecast, month: number): Figure | null {
  const row = forecast.months[month];
  if (!row) return null;
  const interval = forecast.intervals[month];
  const spread = interval ? interval.below_rim_m ?? interval.lowered_m : null;
  if (spread) return { mean: spread.mean, lower: spread.lower, upper: spread.upper };
  const first = forecast.months[0]?.height_m ?? row.height_m;
  return { mean: row.below_rim_m ?? first - row.height_m, lower: null, upper: null };
}

/** A depth in words, with a word for what stands above the rim. */
function depthInWords(mean_m: number, system: System, mound: boolean): string {
  const words = length(Math.abs(mean_m), system);
  if (mound) return `${length(mean_m, system)} lower than when built`;
  if (lengthFigure(Math.abs(mean_m), system) === "0") return "level with the rim";
  return mean_m < 0 ? `${words} above the rim` : `${words} below the rim`;
}

function rangeInWords(figure: Figure, system: System, mound: boolean): string {
  if (figure.lower === null || figure.upper === null) return "";
  const from = lengthFigure(figure.lower, system);
  const to = lengthFigure(figure.upper, system);
  const minus = from.startsWith("-") && !mound ? "; a minus is above the rim" : "";
  return `8 in 10 such ${mound ? "mounds" : "beds"}: ${from} to ${to} ${lengthUnit(system)}${minus}`;
}

/** So many bags of what they hold. */
function bags(plan: engine.TopUps, count: number, system: System): string {
  const size = system === "us" ? "1 cu ft" : `${number(plan.package.volume_m3 * 1000, 0)} L`;
  return `${count} ${count === 1 ? "bag" : "bags"} of ${size} ${plan.material}`;
}

let years = 2;
/** Readings and additions when the answer was last shown. */
let entriesShown: number | null = null;
let isSouth = false;

export function answer(): Step {
  const draft = state.draft();
  const system = state.system();
  const mound = isMound(draft);
  let shelf: Material[] = [];
  let month: number | null = null;
  let latest: outlook.Outlook = outlook.current();

  const big = el("div", { id: "headline", class: "headline" });
  const status = el("div", { id: "status", class: "status" });
  const spoken = el("p", { id: "spoken", class: "unseen", role: "status", "aria-live": "polite" });
  const faults = el("div", { id: "answer-faults" });
  const dangers = el("div", { id: "dangers" });
  const lines = el("dl", { id: "short", class: "short" });
  const picture = drawn("svg", { id: "section", class: "section" });
  const slider = el("input", { id: "month", type: "range", min: 0, step: 1, "aria-label": "Date" });
  const onDate = el("p", { id: "on-date", class: "on-date" });
  const feed = el("div", { id: "feed-strip" });
  const buying = el("div", { id: "top-ups" });
  const cautions = el("div", { id: "cautions" });
  const assumed = el("div", { id: "assumed-place" });
  const share = el("div", { id: "share-place" });
  const sheetNote = el("p", { id: "sheet-note", class: "hint" });

  const base = draft.filled && draft.filled > today() ? draft.filled : today();
  const autumn = (): string => nextAutumn(base, isSouth);

  const forecastNow = (): engine.Forecast | null => latest.nominal ?? latest.ranged;

  const nearest = (day: string): number => {
    const rows = forecastNow()?.months ?? [];
    let best = 0;
    rows.forEach((_, at) => {
      const gap = (each: number): number => Math.abs(dayNumber(rows[each]?.date ?? "1970-01-01") - dayNumber(day));
      if (gap(at) < gap(best)) best = at;
    });
    return best;
  };
  const setMonth = (to: number): void => {
    const last = (forecastNow()?.months.length ?? 1) - 1;
    month = Math.min(last, Math.max(0, to));
    slider.value = String(month);
    showMonth();
  };

  const showMonth = (): void => {
    const nominal = forecastNow();
    if (!nominal || month === null) return;
    const row = nominal.months[month];
    if (!row) return;
    const ranged = !latest.isStale && latest.ranged ? latest.ranged : null;
    if (!ranged && (draft.reading ?? []).length > 0) {
      // The one run knows nothing of what was measured.
      onDate.replaceChildren(el("span", { class: "wait" }, `${inWords(row.date)}: working it out …`));
      slider.setAttribute("aria-valuetext", inWords(row.date));
      return;
    }
    const source = ranged ?? nominal;
    const figure = figureAt(source, Math.min(month, source.months.length - 1));
    if (!figure) return;
    const depth = depthInWords(figure.mean, system, mound);
    const words = `${month === 0 ? "When filled" : inWords(row.date)}: about ${depth}`;
    const range = rangeInWords(figure, system, mound);
    onDate.replaceChildren(el("b", {}, words), range && month > 0 ? el("span", {}, ` (${range})`) : "");
    slider.setAttribute("aria-valuetext", `${inWords(row.date)}, about ${depth}`);
    drawCut(picture, cutAtMonth(draft, ranged ?? nominal, month, shelf, `The bed cut across on ${inWords(row.date)}, about ${depth}.`));
  };

  const showHeadline = (): void => {
    const day = autumn();
    const { ranged, isStale, stage } = latest;
    const figure = ranged && figureOn(ranged, day);
    big.classList.toggle("dimmed", isStale);
    if (!figure) {
      const words = stage === "failed" ? "No figure" : stage === "stopped" ? "Stopped before there was a range" : "Working it out …";
      big.replaceChildren(el("p", { class: "by" }, `By ${inWords(day)}`), el("p", { class: "wait" }, words));
      return;
    }
    const isAbove = !mound && figure.mean < 0;
    big.replaceChildren(
      el("p", { class: "by" }, `By ${inWords(day)}, if nothing is added, expect it about`),
      el("p", { class: "figure", id: "by-autumn" }, lengthFigure(Math.abs(figure.mean), system), el("small", {}, ` ${lengthUnit(system)}`)),
      el("p", { class: "below" }, mound ? "lower than when built" : isAbove ? "above the rim" : "below the rim"),
      el("p", { class: "range", id: "by-autumn-range" }, rangeInWords(figure, system, mound), stage === "rough" || (stage === "stopped") ? el("span", { class: "rough" }, " rough") : null),
    );
  };

  const showStatus = (): void => {
    const { stage, done, of } = latest;
    status.replaceChildren();
    if (stage === "waiting" || stage === "nominal" || stage === "rough") {
      const isCounted = (draft.reading ?? []).length === 0;
      const words = isCounted ? `Working out the range: ${done} of ${of}` : "Working out the range from what was measured";
      const bar = el("progress", { max: of, "aria-hidden": "true" });
      if (isCounted) bar.value = done;
      status.append(el("p", {}, words), bar, button("stop", "Stop", () => outlook.stop(), "quiet"));
    } else if (stage === "stopped") {
      status.append(el("p", {}, "Stopped."), button("go-on", "Work out the range", () => void outlook.workOut(draft, years, true), "plain"));
    } else if (stage === "final" && (!latest.short || latest.isShortStale) && latest.faults.length === 0) {
      status.append(el("p", {}, "Working out what to buy and to feed …"));
    }
  };

  const showLines = (): void => {
    const { short, isShortStale, topUps, stage } = latest;
    const first = topUps?.top_ups[0];
    const isRough = (!short || isShortStale) && first !== undefined;
    lines.classList.toggle("dimmed", short !== null && isShortStale && !isRough);
    if (isRough && topUps) {
      const words = `About ${bags(topUps, first.bought, system)} in ${monthInWords(first.date)}. Measure first. `;
      lines.replaceChildren(el("dt", {}, "Buy"), el("dd", { id: "line-buy" }, words, el("span", { class: "rough" }, "rough")), ...minded());
      return;
    }
    if (!short) {
      const words = stage === "failed" ? "not known" : stage === "stopped" ? "not worked out" : "working it out …";
      lines.replaceChildren(el("dt", {}, "Buy"), el("dd", { id: "line-buy", class: "wait" }, words), ...minded());
      return;
    }
    // Its word on what to mind is the first of the warnings alone.
    const told = short.lines.filter(([word]) => word !== "Mind");
    lines.replaceChildren(
      ...told.flatMap(([word, words]) => [
        el("dt", {}, word),
        el("dd", { id: `line-${word.toLowerCase()}` }, `${capital(words)}.`.replace("..", ".")),
      ]),
      ...minded(),
    );
  };
  const minded = (): HTMLElement[] => {
    const warnings = latest.notices.filter(({ severity }) => severity === "warning");
    if (warnings.length === 0) return [];
    const each = warnings.map(({ message, code }) => el("p", { id: `notice-${code}` }, message));
    return [el("dt", {}, "Mind"), el("dd", { id: "line-mind" }, ...each)];
  };

  const showFeed = (): void => {
    const told = latest.short?.lines.find(([word]) => word === "Feed")?.[1] ?? "nothing";
    const forecast = latest.isStale || latest.isShortStale ? null : latest.ranged;
    // What is too little to weigh is not told month by month either.
    if (!forecast || forecast.crop === "none" || told.startsWith("nothing")) {
      feed.replaceChildren();
      return;
    }
    const from = forecast.months.findIndex((row) => row.month > 0 && row.date > base);
    const twelve = from === -1 ? [] : forecast.months.slice(from, from + 12);
    if (twelve.length === 0) {
      feed.replaceChildren();
      return;
    }
    feed.replaceChildren(
      el("h2", {}, "Feed by month"),
      el("p", {}, "Months in which plants find too little in the bed. Feed as told above."),
      el("ol", { class: "strip" }, ...twelve.map((row) => {
        // A row tells of the month that ends with it.
        const number = (Number(row.date.slice(5, 7)) + 10) % 12;
        const { is_short } = row.nitrogen;
        return el("li", { class: is_short ? "short" : "", title: monthInWords(row.date) }, el("b", {}, monthLetters(number)), el("span", {}, is_short ? "short" : "enough"));
      })),
    );
  };

  const showBuying = (): void => {
    const plan = latest.topUps;
    if (!plan || plan.top_ups.length === 0) {
      buying.replaceChildren();
      return;
    }
    buying.replaceChildren(
      el("h2", {}, "Top-ups in the years to come"),
      el("ol", { class: "plan" }, ...plan.top_ups.filter(({ bought }) => bought > 0).map((each) =>
        el("li", {}, el("b", {}, monthInWords(each.date)), ` about ${bags(plan, each.bought, system)}`, mound ? "" : `: it lies ${length(each.below_before_m, system)} below the rim by then`),
      )),
      el("p", { class: "hint" }, "Measure first: buy for what you find."),
    );
  };

  const showCautions = (): void => {
    const { notices } = latest;
    const worst = notices.filter(({ severity }) => severity === "danger");
    const notes = notices.filter(({ severity }) => severity === "note");
    dangers.replaceChildren(...worst.map(({ message, code }) => caution("danger", message, `notice-${code}`)));
    cautions.replaceChildren();
    if (notes.length === 0) return;
    cautions.append(el("h2", {}, "Mind as well"), el("ul", { class: "notes" }, ...notes.map(({ message, code }) => el("li", { id: `notice-${code}` }, OWN_WORDS[code] ?? message))));
  };

  const showAssumed = (): void => {
    const forecast = forecastNow();
    if (!forecast) return;
    const isOpen = (byId("assumed") as HTMLDetailsElement | null)?.open ?? false;
    const rows = forecast.defaults.map((each) => el("li", {}, el("b", {}, assumption(each.path)), ` ${each.value}`));
    assumed.replaceChildren(
      el("details", { id: "assumed", open: isOpen }, el("summary", {}, `Assumed (${rows.length})`), el("p", { class: "hint" }, "You were not asked for these. Whoever knows better can write them into the bed file."), el("ul", { class: "assumed" }, ...rows)),
    );
  };

  const showFaults = (): void => {
    faults.replaceChildren();
    if (latest.faults.length === 0) return;
    faults.append(
      el("section", { class: "faults", role: "alert" },
        el("h2", {}, "This cannot be worked out yet"),
        el("ul", {}, ...latest.faults.map((fault) => el("li", {}, faultInWords(fault)))),
        button("mend-layers", "Go to the layers", () => go({ step: "layers" })),
      ),
    );
  };

  const sheet = button("print-sheet", "Print the sheet", () => {
    if (sheet.getAttribute("aria-disabled") !== "true") go({ step: "sheet" });
  });
  const showSheet = (): void => {
    const isReady = latest.stage === "final";
    sheet.setAttribute("aria-disabled", String(!isReady));
    sheetNote.textContent = isReady ? "" : "The sheet can be printed once the range is worked out.";
  };

  const passOn = async (): Promise<void> => {
    const link = await linkOf(draft);
    const box = el("input", { id: "link", type: "text", readonly: true, "aria-label": "Link to this bed" });
    box.value = link;
    box.addEventListener("focus", () => box.select());
    const told = el("p", { id: "link-told", role: "status", class: "hint" });
    const isLocal = location.protocol === "file:";
    const copy = button("copy-link", "Copy", () => {
      const clipboard = navigator.clipboard as Clipboard | undefined;
      (clipboard?.writeText(link) ?? Promise.reject(new Error("no clipboard"))).then(
        () => (told.textContent = "Copied."),
        () => {
          box.focus();
          told.textContent = "Copy it from the field by hand.";
        },
      );
    }, "main");
    share.replaceChildren(
      el("div", { class: "field box" },
        el("label", { for: "link" }, "This link holds the bed and its town. Who has it can read them."),
        el("div", { class: "row" }, box, copy),
        isLocal ? el("p", { class: "hint" }, "This page was opened from a file: the link works where the same file is.") : null,
        told,
      ),
    );
    copy.focus();
  };

  const showAll = (what: outlook.Outlook, isEnd: boolean): void => {
    latest = what;
    const rows = forecastNow()?.months.length ?? 0;
    if (rows > 0) {
      slider.max = String(rows - 1);
      if (month === null) {
        month = nearest(autumn());
        slider.value = String(month);
      }
      if (month > rows - 1) month = rows - 1;
    }
    showHeadline();
    showStatus();
    showMonth();
    showLines();
    showFeed();
    showBuying();
    showCautions();
    showAssumed();
    showFaults();
    showSheet();
    if (isEnd && what.stage === "final" && what.ranged) {
      const figure = figureOn(what.ranged, autumn());
      if (figure) spoken.textContent = `By ${inWords(autumn())} expect it about ${depthInWords(figure.mean, system, mound)}. ${rangeInWords(figure, system, mound)}.`;
    }
  };

  slider.addEventListener("input", () => setMonth(Number(slider.value)));
  const earlier = button("month-less", "−1 month", () => setMonth((month ?? 0) - 1));
  const later = button("month-more", "+1 month", () => setMonth((month ?? 0) + 1));
  const toAutumn = button("to-autumn", "Autumn", () => setMonth(nearest(autumn())));
  const toYear = button("to-year", "In a year", () => {
    const [year, ...rest] = base.split("-");
    setMonth(nearest([Number(year) + 1, ...rest].join("-")));
  });
  const further = button("further", years === 2 ? "Look five years ahead" : "Look two years ahead", () => {
    years = years === 2 ? 5 : 2;
    further.textContent = years === 2 ? "Look five years ahead" : "Look two years ahead";
    void outlook.workOut(draft, years);
  }, "quiet");

  const edit = (step: state.StepName, id: string, words: string): HTMLElement => button(id, words, () => go({ step }), "quiet");
  return {
    title: draft.name || "Your bed",
    body: [
      el("p", { class: "about", id: "about" }, `In ${placeInWords(draft.climate)}, filled ${inWords(draft.filled ?? "")}.`),
      faults,
      el("div", { class: "pair" },
        el("div", {}, big, status, spoken, dangers, lines),
        el("div", { class: "aside" },
          el("figure", { class: "cut-figure" }, picture),
          onDate,
          el("div", { class: "dates" }, slider, el("div", { class: "date-buttons" }, earlier, later, toAutumn, toYear)),
          further,
        ),
      ),
      el("div", { class: "actions", role: "group", "aria-label": "What to do with this bed" },
        button("measured", "I measured", () => go({ step: "measured" })),
        button("added", "I added", () => go({ step: "added" })),
        button("save", "Save the file", () => go({ step: "save" })),
        button("share", "Share a link", () => void passOn()),
        sheet,
      ),
      share,
      sheetNote,
      log(),
      buying,
      feed,
      cautions,
      assumed,
      el("h2", {}, "Change it"),
      el("div", { class: "actions" },
        edit("shape", "edit-shape", "Shape and size"),
        edit("stands", "edit-stands", "What it stands on"),
        edit("place", "edit-place", "Place and day"),
        edit("layers", "edit-layers", "Layers"),
        edit("filled", "edit-filled", "Filling and water"),
      ),
    ],
    onShown: () => {
      // What has just been written down changes the figure at the top.
      const entries = (draft.reading ?? []).length + (draft.added ?? []).length;
      if (entriesShown !== null && entriesShown !== entries) requestAnimationFrame(() => scrollTo(0, 0));
      entriesShown = entries;
      outlook.watch(showAll);
      void outlook.workOut(draft, years);
      engine.materials().then((list) => {
        shelf = list;
        showMonth();
      }, () => {});
      engine.check(draft).then(({ bed }) => {
        if (isSouth === bed.climate.latitude_deg < 0) return;
        isSouth = bed.climate.latitude_deg < 0;
        month = null;
        showAll(latest, false);
      }, () => {});
    },
    onLeft: () => {
      outlook.unwatch();
    },
  };
}

/** What was measured and added, each with a way to take it out again. */
function log(): HTMLElement | null {
  const draft = state.draft();
  const entries = [
    ...(draft.reading ?? []).map((each, at) => ({
      on: each.on,
      words: each["below-rim"] ? `${each["below-rim"]} below the rim` : `${each.height ?? ""} high`,
      id: `reading-${at}`,
      drop: () => draft.reading?.splice(at, 1),
    })),
    ...(draft.added ?? []).map((each, at) => ({
      on: each.on,
      words: `${each.amount} ${each.material} added`,
      id: `added-${at}`,
      drop: () => draft.added?.splice(at, 1),
    })),
  ].sort((one, other) => one.on.localeCompare(other.on));
  if (entries.length === 0) return null;
  const list = el("ul", { class: "log", id: "log" }, ...entries.map(({ on, words, id, drop }) => {
    const remove = button(`remove-${id}`, "Remove", () => {
      drop();
      if (draft.reading?.length === 0) delete draft.reading;
      if (draft.added?.length === 0) delete draft.added;
      state.changed();
      history.replaceState({ step: "answer" }, "");
      dispatchEvent(new PopStateEvent("popstate", { state: { step: "answer" } }));
    }, "quiet");
    remove.setAttribute("aria-label", `Remove: ${words} on ${inWords(on)}`);
    return el("li", { id }, el("span", {}, el("b", {}, inWords(on)), ` ${words}`), remove);
  }));
  return el("section", { class: "log-part", "aria-labelledby": "log-title" }, el("h2", { id: "log-title" }, "Since it was filled"), list);
}

// Cautions that tell what to write into a bed file, for whom the page asks.
const OWN_WORDS: Record<string, string> = {
  "loose-measure": "Depths are taken as measured before it was trodden. If it was after, say so where you told how it was filled.",
};

const PARTS: Record<string, string> = {
  trench: "Dug in",
  bulged: "Bag bulged",
  slope: "Slope",
  then: "how it was filled",
  as: "amount measured",
  arrived: "on arrival",
  across: "size of a piece",
  moisture: "moisture",
  grows: "roots live in it",
  irrigation: "watering",
  from: "first month",
  to: "last month",
  cover: "cover",
};

/** What an assumption is about, from its address in the document. */
function assumption(path: string): string {
  const draft = state.draft();
  const words = path.split("/").filter(Boolean);
  const last = words.at(-1) ?? "";
  const what = PARTS[last] ?? last.replaceAll("-", " ");
  if (words[0] === "layer") {
    const layer = draft.layer[Number(words[1])];
    const put = words[2] === "put" ? layer?.put[Number(words[3])]?.material : layer && layerName(layer);
    return `Layer ${Number(words[1]) + 1}, ${(put ?? "").toLowerCase()}, ${what}:`;
  }
  if (words[0] === "added") return `${capital(draft.added?.[Number(words[1])]?.material ?? "Added")}, ${what}:`;
  const names: Record<string, string> = { "/water": "Water:", "/crop": "What grows on it:" };
  return names[path] ?? `${capital(what)}:`;
}
