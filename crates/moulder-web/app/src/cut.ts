// The bed of the draft as a cut: from a forecast, or as it is being filled.

import { isMound, type Draft, type Layer } from "./bed";
import type { Forecast } from "./engine";
import { groupOf, type Material, type Texture } from "./material";
import { length, metres, parse, litres, isLength, systemOf } from "./quantity";
import type { Cut, Slice } from "./section";

/** The main material of a layer: of what fills most of it. */
export function mainOf(layer: Layer, area_m2: number, measures?: Record<string, string>): string {
  const sizes = layer.put.map((put) => ({ put, size: roughly_m(put.amount, area_m2, measures) ?? 0 }));
  sizes.sort((one, other) => other.size - one.size);
  return sizes[0]?.put.material ?? "";
}

export function textureOf(name: string, shelf: Material[]): Texture {
  const known = shelf.find((material) => material.name === name || material.also.includes(name));
  return groupOf(known?.name ?? name, known?.class);
}

/** The area that layers lie on; m2. */
export function area_m2(draft: Draft): number {
  const { bed } = draft;
  if (bed.shape === "round") return (Math.PI / 4) * (metres(bed.across) ?? 1) ** 2;
  const foot = (metres(bed.width) ?? 1) * (metres(bed.length) ?? 1);
  return isMound(draft) ? foot * 0.65 : foot;
}

/** The depth of an amount before the engine has weighed it; m. */
export function roughly_m(amount: string, area: number, measures?: Record<string, string>): number | null {
  const quantity = parse(amount);
  if (!quantity) return null;
  if (isLength(quantity.unit)) return metres(amount);
  const volume = litres(amount, measures);
  return volume === null || area <= 0 ? null : volume / 1000 / area;
}

function frame(draft: Draft): Omit<Cut, "slices" | "filled_m" | "range" | "tallest_m" | "isMarked" | "about"> {
  const { bed } = draft;
  return {
    shape: bed.shape ?? "box",
    width_m: metres(bed.shape === "round" ? bed.across : bed.width) ?? 1,
    rim_m: isMound(draft) ? null : metres(bed.rim) ?? 0.5,
    trench_m: metres(bed.trench) ?? 0,
    slope_deg: parse(bed.slope ?? "40 deg")?.value ?? 40,
    system: systemOf(draft.units),
  };
}

/** The bed as filled, of depths that the engine or a rough reckoning gives. */
export function cutAsFilled(draft: Draft, depths_m: number[], shelf: Material[]): Cut {
  const area = area_m2(draft);
  const slices = draft.layer.map((layer, at): Slice => {
    const label = mainOf(layer, area, draft.measures);
    return { thickness_m: depths_m[at] ?? 0, texture: textureOf(label, shelf), label };
  });
  const base = frame(draft);
  const high_m = depths_m.reduce((sum, each) => sum + each, 0) - base.trench_m;
  return {
    ...base,
    slices,
    filled_m: null,
    range: null,
    tallest_m: Math.max(high_m, base.rim_m ?? 0.4),
    isMarked: false,
    about: `The bed cut across: ${length(high_m, base.system)} high.`,
  };
}

/** The bed at a month of a forecast. */
export function cutAtMonth(draft: Draft, forecast: Forecast, month: number, shelf: Material[], about: string): Cut {
  const row = forecast.months[month];
  const first = forecast.months[0];
  const base = frame(draft);
  const area = area_m2(draft);
  const later = (draft.added ?? []).slice().sort((one, other) => one.on.localeCompare(other.on));
  const slices = (row?.layers ?? []).map((each, at): Slice => {
    const layer = draft.layer[at];
    const label = layer
      ? mainOf(layer, area, draft.measures)
      : later[at - draft.layer.length]?.material ?? forecast.layers[at] ?? "";
    return { thickness_m: each.thickness_m, texture: textureOf(label, shelf), label };
  });
  const interval = forecast.intervals[month];
  const tallest_m = Math.max(...forecast.months.map((each) => each.height_m), base.rim_m ?? 0);
  return {
    ...base,
    slices,
    filled_m: first?.height_m ?? null,
    range: interval ? { low_m: interval.height_m.lower, high_m: interval.height_m.upper } : null,
    tallest_m,
    isMarked: true,
    about,
  };
}
