// A module of a few bytes with the exports of moulder.wasm, for what the real one never does. It
// answers `{"answer":1}`, but traps at a question of TRAPS bytes, never ends one of HANGS bytes,
// calls its import at one of CALLS bytes and has no room for one of FILLS bytes.

export const TRAPS = 101;
export const HANGS = 102;
export const CALLS = 103;
export const FILLS = 104;
export const VERSION = "9.9.9";

const ANSWER = '{"answer":1}';
const [ANSWER_AT, VERSION_AT, PAIRS_AT, ROOM] = [0, 32, 48, 1024];

// Numbers as WebAssembly writes them, seven bits a byte.
function unsigned(number) {
  const bytes = [];
  for (; number > 0x7f; number >>>= 7) bytes.push((number & 0x7f) | 0x80);
  return [...bytes, number];
}
function signed(number) {
  const bytes = [];
  for (; number > 0x3f; number >>= 7) bytes.push((number & 0x7f) | 0x80);
  return [...bytes, number];
}
const list = (items) => [...unsigned(items.length), ...items.flat()];
const text = (string) => list([...new TextEncoder().encode(string)]);
const section = (id, bytes) => [id, ...unsigned(bytes.length), ...bytes];
const word = (number) => [...new Uint8Array(new Uint32Array([number]).buffer)];

const I32 = 0x7f;
const type = (given, result) => [0x60, ...list(given), ...list(result)];
const constant = (number) => [0x41, ...signed(number)];
// What is done if the parameter of that number is so much.
const when = (local, number, then) => [
  ...[0x20, local, ...constant(number), 0x46, 0x04, 0x40],
  ...then,
  0x0b,
];
const body = (code) => {
  const whole = [0x00, ...code, 0x0b];
  return [...unsigned(whole.length), ...whole];
};

export const standIn = new Uint8Array([
  ...[0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00],
  ...section(
    1,
    list([
      type([], []),
      type([I32], [I32]),
      type([I32, I32], [I32]),
      type([I32], []),
      type([], [I32]),
    ]),
  ),
  ...section(2, list([[...text("glue"), ...text("never"), 0x00, 0x00]])),
  ...section(3, list([[1], [2], [3], [4]])),
  ...section(5, list([[0x00, 0x01]])),
  ...section(
    7,
    list([
      [...text("memory"), 0x02, 0],
      [...text("moulder_room"), 0x00, 1],
      [...text("moulder_ask"), 0x00, 2],
      [...text("moulder_free"), 0x00, 3],
      [...text("moulder_version"), 0x00, 4],
    ]),
  ),
  ...section(
    10,
    list([
      body([...when(0, FILLS, [...constant(0), 0x0f]), ...constant(ROOM)]),
      body([
        ...when(1, TRAPS, [0x00]),
        ...when(1, HANGS, [0x03, 0x40, 0x0c, 0x00, 0x0b]),
        ...when(1, CALLS, [0x10, 0x00]),
        ...constant(PAIRS_AT),
      ]),
      body([]),
      body(constant(PAIRS_AT + 8)),
    ]),
  ),
  ...section(
    11,
    list([
      [0x00, ...constant(ANSWER_AT), 0x0b, ...text(ANSWER)],
      [0x00, ...constant(VERSION_AT), 0x0b, ...text(VERSION)],
      [
        ...[0x00, ...constant(PAIRS_AT), 0x0b],
        ...list([ANSWER_AT, ANSWER.length, VERSION_AT, VERSION.length].flatMap(word)),
      ],
    ]),
  ),
]);

/** A question of so many bytes. */
export function questionOf(length) {
  return { ask: "x".repeat(length - '{"ask":""}'.length) };
}
