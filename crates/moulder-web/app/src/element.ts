// Elements are built from text nodes and attributes alone, so that words of a
// file can never become markup.

type Child = Node | string | number | null | undefined | false;
type Value = string | number | boolean | null | undefined | ((event: Event) => void);

const SVG = "http://www.w3.org/2000/svg";

function filled<E extends Element>(element: E, values: Record<string, Value>, children: Child[]): E {
  for (const [name, value] of Object.entries(values)) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === "function") element.addEventListener(name.replace(/^on/, ""), value);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  put(element, children);
  return element;
}

/** Appends children; what is empty is left out. */
export function put(element: Element | DocumentFragment, children: Child[]): void {
  for (const child of children) {
    if (child === null || child === undefined || child === false) continue;
    element.append(child instanceof Node ? child : String(child));
  }
}

/** An HTML element: `on...` values are listeners, all others attributes. */
export function el<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  values: Record<string, Value> = {},
  ...children: Child[]
): HTMLElementTagNameMap[K] {
  return filled(document.createElement(tag), values, children);
}

/** An SVG element. */
export function drawn<K extends keyof SVGElementTagNameMap>(
  tag: K,
  values: Record<string, Value> = {},
  ...children: Child[]
): SVGElementTagNameMap[K] {
  return filled(document.createElementNS(SVG, tag) as SVGElementTagNameMap[K], values, children);
}

/** A button; its id is its name for tests as well. */
export function button(
  id: string,
  words: string,
  onclick: () => void,
  kind: "plain" | "main" | "quiet" = "plain",
): HTMLButtonElement {
  return el("button", { id, type: "button", class: `button ${kind}`, onclick }, words);
}

/** The element of an id, when it is there. */
export function byId(id: string): HTMLElement | null {
  return document.getElementById(id);
}
