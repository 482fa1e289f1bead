// A link that holds the whole bed behind its #, which no browser sends anywhere.

import { MOST_BYTES, type Draft } from "./bed";

const MARK = "#bed=";

async function through(bytes: Uint8Array, stream: GenericTransformStream, most: number): Promise<Uint8Array> {
  const source = new Blob([bytes as BlobPart]).stream();
  const reader = (source.pipeThrough(stream as ReadableWritablePair) as ReadableStream<Uint8Array>).getReader();
  const parts: Uint8Array[] = [];
  let size = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    size += value.length;
    // A small link can unpack to gigabytes.
    if (size > most) {
      await reader.cancel();
      throw new Error("too large");
    }
    parts.push(value);
  }
  return new Uint8Array(await new Blob(parts as BlobPart[]).arrayBuffer());
}

/** The link of a bed, on the address that this page has. */
export async function linkOf(draft: Draft): Promise<string> {
  const bytes = new TextEncoder().encode(JSON.stringify(draft));
  const packed = await through(bytes, new CompressionStream("deflate-raw"), MOST_BYTES);
  let signs = "";
  for (const byte of packed) signs += String.fromCharCode(byte);
  const code = btoa(signs).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  return `${location.href.split("#")[0]}${MARK}${code}`;
}

export const holdsBed = (hash: string): boolean => hash.startsWith(MARK);

/** The text of the bed in a link. */
export async function textOfLink(hash: string): Promise<string> {
  const code = hash.slice(MARK.length).replaceAll("-", "+").replaceAll("_", "/");
  if (code.length > MOST_BYTES) throw new Error("too large");
  const packed = Uint8Array.from(atob(code), (sign) => sign.charCodeAt(0));
  const bytes = await through(packed, new DecompressionStream("deflate-raw"), MOST_BYTES);
  return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
}
