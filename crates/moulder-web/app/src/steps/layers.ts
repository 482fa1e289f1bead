// What lies in the bed, from the ground up. The list stands as the bed does:
// the lowest layer at the bottom.

import type { Layer, Put } from "../bed";
import { cutAsFilled, area_m2, mainOf, roughly_m, textureOf } from "../cut";
import { button, byId, drawn, el } from "../element";
import * as engine from "../engine";
import { showFaults, stepper, type FieldFault } from "../field";
import { FIRST, GROUPS, group, type Material } from "../material";
import { amountUnits, converted, length, lengthUnit, metres, parse, stepped, unitName, written } from "../quantity";
import { go } from "../route";
import { drawCut } from "../section";
import * as state from "../state";
import { caution, faultsOf, type Step } from "../step";
import { swatch } from "../texture";
import { capital, listed } from "../words";

/** What a layer is called. */
export function layerName(layer: Layer): string {
  return capital(listed(layer.put.map((put) => put.material)));
}

/** Id of the amount of what was put in. */
const amountId = (layer: number, put: number): string => `amount-${layer}-${put}`;

const fields = (pointer: string): { id: string; label: string } | null => {
  const found = /^\/layer(?:\/(\d+)(?:\/put\/(\d+))?)?/.exec(pointer);
  if (!found) return null;
  const [, layer, put] = found;
  if (layer === undefined) return { id: "add-layer", label: "Layers" };
  const name = state.draft().layer[Number(layer)]?.put[Number(put ?? 0)]?.material ?? "";
  return { id: amountId(Number(layer), Number(put ?? 0)), label: capital(name) };
};

/** A usual amount: what the group mostly takes, but no more than there is room for. */
export function usualAmount(usual: [number, number], room_m: number | null): string {
  const isMetric = state.system() === "metric";
  const unit = lengthUnit(state.system());
  const depth = isMetric ? usual[0] : usual[1];
  const room = room_m === null ? depth : Math.floor(room_m / (isMetric ? 0.01 : 0.0254) + 0.01);
  const least = isMetric ? 5 : 2;
  return written(room >= least ? Math.min(depth, room) : Math.min(depth, least), unit);
}

/** The height to fill to: the rim, or where a mound is still broad enough for a layer; m. */
function heightToFill_m(): number | null {
  const { bed } = state.draft();
  if (bed.shape !== "mound") return metres(bed.rim);
  const foot = Math.min(metres(bed.width) ?? 0, metres(bed.length) ?? 0);
  const slope_deg = parse(bed.slope ?? "40 deg")?.value ?? 40;
  const SHARE = 0.75;
  return (SHARE * foot / 2) * Math.tan((slope_deg * Math.PI) / 180);
}

/** Room between the fill and that height; m. */
export function room_m(): number | null {
  const draft = state.draft();
  const rim = heightToFill_m();
  if (rim === null) return null;
  const area = area_m2(draft);
  const depths = draft.layer.flatMap((layer) => layer.put.map((put) => roughly_m(put.amount, area, draft.measures) ?? 0));
  return rim + (metres(draft.bed.trench) ?? 0) - depths.reduce((sum, each) => sum + each, 0);
}

export function addLayer(material: string, usual: [number, number]): void {
  const draft = state.draft();
  const layer: Layer = { put: [{ material, amount: usualAmount(usual, room_m()) }] };
  const below = draft.layer.at(-1);
  if (below?.then) layer.then = [...below.then];
  draft.layer.push(layer);
  state.changed();
}

export function layers(): Step {
  const picture = drawn("svg", { id: "section", class: "section" });
  const running = el("p", { id: "running", class: "running", role: "status" });
  const over = el("div", { id: "over" });
  const pile = el("ol", { id: "pile", class: "pile" });
  const question = el("h2", { id: "layer-question" });
  const undo = el("div", { id: "undo-place", role: "status" });
  let shelf: Material[] = [];
  let asked = 0;
  let timer = 0;

  const draw = (depths: number[]): void => {
    const draft = state.draft();
    const cut = cutAsFilled(draft, depths, shelf);
    drawCut(picture, cut);
    const high = depths.reduce((sum, each) => sum + each, 0) - cut.trench_m;
    const { system } = cut;
    over.replaceChildren();
    const words = draft.layer.length === 0
      ? "Nothing in it yet."
      : cut.rim_m === null ? `${length(high, system)} high` : `${length(high, system)} of ${length(cut.rim_m, system)}`;
    // The same words twice would be read out twice.
    if (running.textContent !== words) running.textContent = words;
    if (draft.layer.length > 0 && cut.rim_m !== null) {
      const heaped = high - cut.rim_m;
      if (heaped > 0.02) over.append(caution("note", `It stands ${length(heaped, system)} above the rim. That is fine if you heap it on purpose.`));
    }
  };
  const rough = (): number[] => {
    const draft = state.draft();
    const area = area_m2(draft);
    return draft.layer.map((layer) => layer.put.reduce((sum, put) => sum + (roughly_m(put.amount, area, draft.measures) ?? 0), 0));
  };
  // The engine knows how much of one material runs into the gaps of another.
  const weigh = async (): Promise<void> => {
    asked += 1;
    const mine = asked;
    draw(rough());
    const draft = state.draft();
    if (draft.layer.length === 0) return;
    try {
      const { bed } = await engine.check({ ...draft, climate: draft.climate ?? "Cambridge UK" });
      if (mine !== asked) return;
      draw(bed.layers.map((layer) => layer.thickness_m));
      showFaults([], false);
    } catch {
      const found = await faultsOf(fields);
      if (mine === asked) showFaults(found, false);
    }
  };

  const structure = (focus?: string): void => {
    state.changed();
    show();
    if (focus) byId(focus)?.focus();
  };
  const offerUndo = (words: string, bring: () => void): void => {
    const back = button("undo", "Undo", () => {
      bring();
      undo.replaceChildren();
      structure("add-layer");
    });
    undo.replaceChildren(el("p", { class: "undo" }, words, back));
    window.clearTimeout(timer);
  };
  const swap = (from: number, to: number): void => {
    const list = state.draft().layer;
    const [moved] = list.splice(from, 1);
    if (moved) list.splice(to, 0, moved);
    structure(to > from ? `up-${to}` : `down-${to}`);
    if (document.activeElement === document.body) byId(to > from ? `down-${to}` : `up-${to}`)?.focus();
  };

  const part = (layer: Layer, at: number, put: Put, index: number): HTMLElement => {
    const draft = state.draft();
    const unit = parse(put.amount)?.unit ?? "";
    const offered = amountUnits(state.system());
    const units = (offered.includes(unit) ? offered : [unit, ...offered]).map((each) => ({ unit: each, label: unitName(each) }));
    const which = button(`which-${at}-${index}`, "", () => go({ step: "pick", layer: at, put: index }), "quiet");
    which.classList.add("which");
    which.append(el("b", {}, capital(put.material)), " ", el("span", {}, "another kind?"));
    const isMixed = layer.put.length > 1;
    return el(
      "div",
      { class: "part" },
      el(
        "div",
        { class: "part-name" },
        swatch(textureOf(put.material, shelf)),
        which,
        isMixed
          ? button(`unmix-${at}-${index}`, "Remove", () => {
              layer.put.splice(index, 1);
              offerUndo(`Taken out: ${put.material}.`, () => layer.put.splice(index, 0, put));
              structure("undo");
            }, "quiet")
          : null,
      ),
      stepper({
        id: amountId(at, index),
        label: "How much",
        text: put.amount,
        units,
        onChange: (text) => {
          put.amount = text;
          state.changed();
        },
        onUnit: (to) => {
          put.amount = converted(put.amount, to, area_m2(draft)) ?? written(stepped(0, to, true), to);
          structure(`${amountId(at, index)}-unit`);
        },
      }),
    );
  };

  const row = (layer: Layer, at: number, count: number): HTMLLIElement => {
    const place = count === 1 ? "" : at === 0 ? ", lowest" : at === count - 1 ? ", on top" : "";
    const up = button(`up-${at}`, "↑", () => swap(at, at + 1), "quiet");
    const down = button(`down-${at}`, "↓", () => swap(at, at - 1), "quiet");
    up.disabled = at === count - 1;
    down.disabled = at === 0;
    const name = layerName(layer);
    up.setAttribute("aria-label", `${name}: up`);
    down.setAttribute("aria-label", `${name}: down`);
    const remove = button(`remove-${at}`, "Remove", () => {
      state.draft().layer.splice(at, 1);
      offerUndo(`Taken out: ${name.toLowerCase()}.`, () => state.draft().layer.splice(at, 0, layer));
      structure("undo");
    }, "quiet");
    remove.setAttribute("aria-label", `Remove ${name}`);
    const mix = button(`mix-${at}`, "+ Mix in", () => go({ step: "pick", layer: at }), "quiet");
    mix.setAttribute("aria-label", `+ Mix in with ${name}`);
    return el(
      "li",
      { class: "layer", id: `layer-${at}`, "data-texture": textureOf(mainOf(layer, 1), shelf) },
      el("h3", {}, `Layer ${at + 1}${place}`),
      ...layer.put.map((put, index) => part(layer, at, put, index)),
      el("div", { class: "tools" }, mix, up, down, remove),
    );
  };

  const show = (): void => {
    const { layer } = state.draft();
    question.textContent = layer.length === 0 ? "What lies lowest?" : "What lies on top of that?";
    pile.replaceChildren(...layer.map((each, at) => row(each, at, layer.length)).reverse());
    pile.hidden = layer.length === 0;
  };

  const tiles = GROUPS.filter(({ id }) => FIRST.includes(id)).map(({ id, label, usual, depth }) => {
    const tile = el("button", { type: "button", class: "tile", id: `add-${id}` }, swatch(id), el("span", {}, label));
    tile.addEventListener("click", () => {
      addLayer(usual, depth);
      undo.replaceChildren();
      show();
      showFaults([], false);
    });
    return tile;
  });
  const more = el("button", { type: "button", class: "tile", id: "add-more" }, el("span", { class: "dots", "aria-hidden": "true" }, "…"), el("span", {}, "More"));
  more.addEventListener("click", () => go({ step: "pick" }));

  show();
  state.onChange(() => void weigh());
  return {
    title: "What is in it, from the ground up?",
    body: [
      el(
        "div",
        { class: "pair" },
        el("div", { class: "aside" }, el("figure", { class: "cut-figure" }, picture), running, over),
        el(
          "div",
          {},
          question,
          el("div", { class: "tiles", id: "add-layer", tabindex: -1, role: "group", "aria-labelledby": "layer-question" }, ...tiles, more),
          el("p", { class: "fault", id: "add-layer-fault", hidden: true }),
          undo,
          pile,
          el("p", { class: "foot-of-bed", "aria-hidden": "true" }, "the ground"),
        ),
      ),
    ],
    onShown: () => {
      void weigh();
      engine.materials().then((list) => {
        shelf = list;
        void weigh();
      }, () => {});
    },
    next: {
      words: "Next",
      to: { step: "filled" },
      onNext: async (): Promise<FieldFault[]> => {
        if (state.draft().layer.length === 0) return [{ id: "add-layer", words: "Choose what lies lowest." }];
        return faultsOf(fields);
      },
    },
  };
}

/** All materials by their groups, for a new layer, one more in it, or another kind. */
export function pick(where: state.Where): Step {
  const { layer: at, put: index } = where;
  const layer = at === undefined ? undefined : state.draft().layer[at];
  const now = index === undefined ? undefined : layer?.put[index];
  const list = el("div", { id: "materials" }, el("p", {}, "One moment …"));
  const isFor = (where["for"] as string | undefined) ?? "";
  const choose = (material: string, usual: [number, number]): void => {
    if (isFor === "added") picked = material;
    else if (now) {
      now.material = material;
      // A size or a moisture that was given is of the other material.
      for (const name of ["across", "moisture", "arrived"]) delete now[name];
      state.changed();
    } else if (layer) {
      layer.put.push({ material, amount: usualAmount([usual[0] / 2, usual[1] / 2], null) });
      state.changed();
    } else addLayer(material, usual);
    history.back();
  };
  const show = (shelf: Material[]): void => {
    const groups = GROUPS.map(({ id, label, depth }) => {
      const held = shelf.filter((material) => textureOf(material.name, shelf) === id);
      const rows = held.map((material) => {
        const row = el("button", { type: "button", class: "button plain material", id: `pick-${slug(material.name)}`, "aria-pressed": now?.material === material.name ? "true" : null }, el("b", {}, capital(material.name)), el("span", {}, material.about));
        row.addEventListener("click", () => choose(material.name, depth));
        return row;
      });
      const isOpen = now ? textureOf(now.material, shelf) === id : false;
      return el("details", { class: "group", id: `group-${id}`, open: isOpen }, el("summary", {}, swatch(id), el("span", {}, label)), ...rows);
    });
    list.replaceChildren(...groups);
  };
  const title = isFor === "added"
    ? "What did you add?"
    : now ? "Which kind is it?" : layer ? `What is mixed in with ${layerName(layer).toLowerCase()}?` : "What lies there?";
  return {
    title,
    body: [list],
    onShown: () => {
      engine.materials().then(show, () => list.replaceChildren(el("p", {}, "The list of materials could not be read.")));
    },
  };
}

/** What was chosen for something that was added later. */
let picked: string | null = null;
export function takePicked(): string | null {
  const taken = picked;
  picked = null;
  return taken;
}

export const slug = (name: string): string => name.toLowerCase().replace(/[^a-z0-9]+/g, "-");
export { group };
