// Days, faults and other words that people read.

const MONTHS = [
  "January", "February", "March", "April", "May", "June",
  "July", "August", "September", "October", "November", "December",
];

/** Today by the clock of the phone, as bed files write days. */
export function today(): string {
  const now = new Date();
  const two = (value: number): string => String(value).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** Days since 1970. */
export function dayNumber(day: string): number {
  return Math.round(Date.parse(`${day}T00:00:00Z`) / 86_400_000);
}

/** A day in words: 1 October 2027. */
export function inWords(day: string): string {
  const [year, month, date] = day.split("-").map(Number);
  const name = MONTHS[(month ?? 0) - 1];
  return name === undefined ? day : `${date} ${name} ${year}`;
}

/** A month in words: October 2027. */
export function monthInWords(day: string): string {
  return inWords(day).replace(/^\d+ /, "");
}

export const monthLetters = (month: number): string => (MONTHS[month] ?? "").slice(0, 3);

/** The first day of autumn that lies at least two months after a day. */
export function nextAutumn(after: string, isSouth: boolean): string {
  const start = isSouth ? "04-01" : "10-01";
  const year = Number(after.slice(0, 4));
  const days = [year, year + 1, year + 2].map((each) => `${each}-${start}`);
  return days.find((day) => dayNumber(day) >= dayNumber(after) + 60) ?? days[2] ?? after;
}

export interface Fault {
  code: string;
  path?: string;
  found?: string;
  expected?: string;
  help?: string[];
  message?: string;
}

/** What is wrong, without the address inside the document. */
export function faultInWords(fault: Fault, label?: string): string {
  const { code, found, expected } = fault;
  const what = label ?? "This";
  if (code === "out-of-range" && expected) return `${what}: ${found} will not do. It takes ${expected}.`;
  if (code === "not-a-number" && expected) return `${what}: "${found}" cannot be read. Write a number.`;
  const message = (fault.message ?? code).replace(/^(at|in) \/[^\s]*?:? (?=\S)/, "");
  const words = message.charAt(0).toUpperCase() + message.slice(1);
  return label ? `${label}: ${words}` : words;
}

/** A list of words with "and". */
export function listed(words: string[]): string {
  return words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
}

export function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
