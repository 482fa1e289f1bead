// Bed files in and out.

import { MOST_BYTES, draftOf, type Draft } from "./bed";
import { el } from "./element";
import { faults } from "./engine";
import { readText, toToml } from "./toml";
import { faultInWords } from "./words";

export type Read = { draft: Draft } | { words: string[] };

const MOST_FAULTS = 8;

/** Reads the text of a bed file or of a link; the engine judges it. */
export async function readBedText(text: string): Promise<Read> {
  if (text.length > MOST_BYTES) return { words: ["This file is too large for a bed file."] };
  try {
    const draft = draftOf(readText(text));
    const found = await faults(draft);
    if (found.length === 0) return { draft };
    const words = found.slice(0, MOST_FAULTS).map((fault) => clipped(`${placed(fault.path ?? "")}${faultInWords(fault)}`));
    const more = found.length - words.length;
    return { words: ["This bed file cannot be used yet:", ...words, ...(more > 0 ? [`and ${more} more.`] : [])] };
  } catch {
    return { words: ["This is no bed file: it cannot be read.", ...(await where(text))] };
  }
}

/** Where a text stops being a bed file, as far as the engine can tell. */
async function where(text: string): Promise<string[]> {
  try {
    const [first] = await faults(text);
    return first && first.code === "bad-syntax" ? [clipped(faultInWords(first))] : [];
  } catch {
    return [];
  }
}

export async function readBed(file: File): Promise<Read> {
  if (file.size > MOST_BYTES) return { words: ["This file is too large for a bed file."] };
  try {
    return await readBedText(await file.text());
  } catch {
    return { words: ["This file cannot be read."] };
  }
}

const clipped = (words: string): string => (words.length > 300 ? `${words.slice(0, 299)}…` : words);

/** Where a fault is, in words: "Layer 2: ". */
function placed(path: string): string {
  const layer = /\/layer\/(\d+)/.exec(path);
  return layer ? `Layer ${Number(layer[1]) + 1}: ` : "";
}

/** Hands out the bed file. */
export function saveFile(draft: Draft): string {
  const slug = (draft.name ?? "").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 40);
  const name = `${slug || "my-bed"}.toml`;
  const url = URL.createObjectURL(new Blob([toToml(draft)], { type: "application/toml" }));
  const link = el("a", { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
  return name;
}
