// Bed files are TOML for people: read with a library, written here in the order
// that the other examples have.

import { parse } from "smol-toml";

const DAY = /^\d{4}-\d{2}-\d{2}$/;
const DAYS = new Set(["filled", "on"]);
const BARE = /^[A-Za-z0-9_-]+$/;

const name = (key: string): string => (BARE.test(key) ? key : text(key));

function text(value: string): string {
  const escaped = value.replace(/[\\"\u0000-\u001f\u007f]/g, (sign) => {
    if (sign === "\\" || sign === '"') return `\\${sign}`;
    return `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`;
  });
  return `"${escaped}"`;
}

function inline(value: unknown, key = ""): string {
  if (Array.isArray(value)) return `[${value.map((each) => inline(each)).join(", ")}]`;
  if (typeof value === "object" && value !== null) {
    const parts = Object.entries(value).map(([each, held]) => `${name(each)} = ${inline(held, each)}`);
    return `{ ${parts.join(", ")} }`;
  }
  if (typeof value === "string") return DAYS.has(key) && DAY.test(value) ? value : text(value);
  return String(value);
}

const isTable = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** The document as TOML. */
export function toToml(document: Record<string, unknown>): string {
  const lines: string[] = [];
  const tables: string[] = [];
  for (const [key, value] of Object.entries(document)) {
    if (value === undefined) continue;
    if (isTable(value)) {
      tables.push("", `[${name(key)}]`, ...fields(value));
    } else if (Array.isArray(value) && value.length > 0 && value.every(isTable)) {
      for (const entry of value) tables.push("", `[[${name(key)}]]`, ...fields(entry));
    } else {
      lines.push(`${name(key)} = ${inline(value, key)}`);
    }
  }
  return `${[...lines, ...tables].join("\n")}\n`;
}

function fields(table: Record<string, unknown>): string[] {
  const given = Object.entries(table).filter(([, value]) => value !== undefined);
  return given.map(([key, value]) => `${name(key)} = ${inline(value, key)}`);
}

/** Reads a bed file, JSON or TOML, as a value. */
export function readText(words: string): unknown {
  return words.trimStart().startsWith("{") ? JSON.parse(words) : parse(words);
}
