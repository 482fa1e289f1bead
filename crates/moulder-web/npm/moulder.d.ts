// Names and figures are those of moulder's JSON; `{"ask": "schema"}`, asked of the command's
// `serve-lines`, describes all of them.

/** An engine in this thread: it answers at once, and nothing else runs until it has. */
export interface Engine {
  /** The answer to a question, both as JSON in a line; a refusal is an answer too. */
  line(question: string): string;
  /** The answer to a question. Throws what is `Refused`. */
  ask<Q extends Question>(question: Q): AnswerTo<Q>;
  /** Version of the engine, as in "0.1.0". */
  readonly version: string;
}

/** Why a question has no answer. */
export class Refused extends Error {
  constructor(refused: { code: string; message: string; faults?: Fault[] });
  /**
   * The stable code of the first fault; "stopped" for what was stopped, "unfinished" for what met
   * a fault of the library, after which it goes on with the next question.
   */
  readonly code: string;
  /** All that is wrong with the question. */
  readonly faults: Fault[];
}

/** Something wrong with a question, or with a document in it. */
export interface Fault {
  code: string;
  /** Where it stands: in a text, or as a JSON Pointer. */
  place: { line: number; column: number } | { pointer: string };
  /** A JSON Pointer into the question. */
  path: string;
  found: string;
  expected: string;
  /** Words that were perhaps meant. */
  help: string[];
  /** A sentence for people. */
  message: string;
}

/** Compiles the module of bytes or of a response; of moulder.wasm beside moulder.js unless given. */
export function compile(
  source?: BufferSource | Response | Promise<Response>,
): Promise<WebAssembly.Module>;

/** An engine in this thread. */
export function instantiate(module: WebAssembly.Module): Promise<Engine>;

/** An engine in this thread, of moulder.wasm beside moulder.js. */
export function load(): Promise<Engine>;

/** Starts workers that share a queue of questions. */
export function startWorkers(options?: {
  /** A compiled module; that of moulder.wasm beside moulder.js unless given. */
  module?: WebAssembly.Module;
  /** Where the text of worker.js lies, as a classic script: perhaps a Blob. */
  workerUrl?: string | URL;
  /** How many; as many as there are processors, and no more than four, unless given. */
  count?: number;
}): Promise<Workers>;

/** Workers that share a queue of questions. In Node they keep the process running until `close`. */
export interface Workers {
  /** The answer to a question, from the first worker that is idle. Rejects with what is `Refused`. */
  ask<Q extends Question>(
    question: Q,
    options?: AskOptions & { text?: false },
  ): Promise<AnswerTo<Q>>;
  /** The same as the JSON that moulder wrote. */
  ask(question: Question, options: AskOptions & { text: true }): Promise<string>;
  /**
   * A forecast, its realisations spread over all workers, to the same figures as in one piece. It is
   * asked in one piece where there is nothing to spread: without realisations, from tape readings
   * on, with `defaults`, or where the parts would take too much memory.
   */
  forecast(
    question: Omit<ForecastQuestion, "ask"> & { ask?: "forecast" },
    options?: ForecastOptions & { text?: false },
  ): Promise<Forecast>;
  /** The same as the JSON that moulder wrote. */
  forecast(
    question: Omit<ForecastQuestion, "ask"> & { ask?: "forecast" },
    options: ForecastOptions & { text: true },
  ): Promise<string>;
  /** Number of workers. */
  readonly count: number;
  /** Ends the workers. What they were asked is rejected as "stopped". */
  close(): void;
}

export interface AskOptions {
  /** Stops the question, which rejects as "stopped"; a worker in the middle of it is replaced. */
  signal?: AbortSignal;
  /** Whether the answer is left as the JSON that moulder wrote. */
  text?: boolean;
}

export interface ForecastOptions extends AskOptions {
  /** Called with how many realisations are there, and of how many. */
  onProgress?(done: number, of: number): void;
  /** Called once, with the forecast of the first 20 realisations or some more, if there are more to come. */
  onPartial?(forecast: Forecast, done: number, of: number): void;
}

/** A bed: its document as an object, or the text of its file, TOML or JSON. */
export type BedDocument = string | object;

/** Fields of every question. */
export interface Always {
  /** Comes back in the line of the answer. */
  id?: unknown;
}

/** Fields of every question about one bed. */
export interface OfBed extends Always {
  bed: BedDocument;
  /** Materials of your own: a text in TOML. */
  materials?: string | null;
  /** Days that were measured: a text in CSV. */
  weather?: string | null;
  /** The units of sentences and drawings; figures are SI. */
  units?: Units | null;
  /** Leaves tape readings out. */
  as_filled?: boolean | null;
}

/** The bed month by month, from its tape readings on. */
export interface ForecastQuestion extends OfBed {
  ask: "forecast";
  /** Months from the day of filling; to the end of a year from then, or from the last reading. */
  months?: number | null;
  /** Realisations behind the intervals, 64 unless given; 0 for the nominal run alone. */
  draws?: number | null;
  /** The same seed, the same answer. */
  seed?: number | null;
  /** A depth below the rim whose chance is told; m. */
  deeper_than_m?: number | null;
  /** Adds to each default how far it widens the interval. */
  defaults?: boolean | null;
}

/** A part of the ensemble of a forecast. */
export interface RealisationsQuestion extends OfBed {
  ask: "realisations";
  months?: number | null;
  seed?: number | null;
  /** The first realisation. */
  from: number;
  /** The realisation before which it ends. */
  to: number;
}

/** The forecast of such parts: of the first few, or of all. */
export interface MergeQuestion extends OfBed {
  ask: "merge";
  months?: number | null;
  seed?: number | null;
  deeper_than_m?: number | null;
  /** Answers to "realisations", in order from the first. */
  parts: unknown[];
}

/** What else can be asked, with its fields as the schema has them. */
export interface OtherQuestion extends Always {
  ask:
    | "answer"
    | "chart"
    | "check"
    | "climates"
    | "compare"
    | "fit"
    | "ledger"
    | "materials"
    | "notices"
    | "plan"
    | "report"
    | "top_ups"
    | "towns"
    | "unknowns";
  [field: string]: unknown;
}

export type Question = ForecastQuestion | RealisationsQuestion | MergeQuestion | OtherQuestion;

/** What a question is answered with: `any` where the schema alone describes it. */
export type AnswerTo<Q extends Question> = Q extends ForecastQuestion | MergeQuestion
  ? Forecast
  : any;

export type Units = "metric" | "us" | "uk-garden";

/** A bed month by month. */
export interface Forecast {
  /** Version of the engine. */
  engine: string;
  /** Version of the JSON form. */
  schema: number;
  /** Seed of the realisations; null for the nominal run alone. */
  seed: number | null;
  /** Realisations behind the intervals; 0 for the nominal run alone. */
  ensemble_size: number;
  /** Standard deviation of the model discrepancy, as a share of the rate of settlement. */
  discrepancy_sd: number | null;
  /** The readings it goes on from. */
  given?: GivenReadings | null;
  ended: "months-done";
  name: string;
  /** Day of filling. */
  filled: string;
  climate: string;
  units: Units;
  /** Height of the rim above the ground; m. */
  rim_m: number | null;
  /** Names of the layers, from the ground up. */
  layers: string[];
  has_wood: boolean;
  /** Means over the realisations, or the nominal run; day zero first. */
  months: Month[];
  /** 80 % intervals, month by month; empty for the nominal run alone. */
  intervals: MonthIntervals[];
  /** Depth below the rim whose chance the intervals give; m. */
  deeper_than_m: number | null;
  crop: "hungry" | "modest" | "none";
  /** Nitrogen by whole year; empty without a crop. */
  nitrogen_years: NitrogenYear[];
  /** Method of reference evapotranspiration. */
  evapotranspiration_by: string;
  /** The last day of measured weather. */
  weather_until?: string | null;
  /** Values assumed where the document gives nothing. */
  defaults: DefaultUsed[];
  notices: Notice[];
}

/** A bed on one day. */
export interface Month {
  /** Months since filling. */
  month: number;
  date: string;
  /** Height of the surface above the ground; m. */
  height_m: number;
  /** Depth of the surface below the rim, negative above it; m. */
  below_rim_m: number | null;
  /** Settlement since filling, without the effect of additions; m. */
  settlement_m: number;
  /** Rise of the surface by additions; m. */
  added_m: number;
  /** The settlement by cause; the parts add up to it. */
  parts: SettlementParts;
  carbon_kg: number;
  /** Share of the carbon put in so far that is left. */
  carbon_left: number;
  carbon_released_kg: number;
  /** Mass of the fill, water included; kg. */
  total_mass_kg: number;
  vertical_stress_kpa: number;
  water_l: number;
  /** Share of that water in wood. */
  water_in_wood: number;
  /** Mean temperature of the root zone over the month; degC. */
  root_zone_c: number;
  /** Its excess over open ground; degC. */
  root_zone_lift_c: number;
  /** Days of the month on which the root zone is warm enough to sow. */
  warm_days: number;
  warm_days_open_ground: number;
  nitrogen: NitrogenRow;
  /** Layers from the ground up. */
  layers: LayerMonth[];
}

/** Settlement by cause; m. */
export interface SettlementParts {
  mechanical_m: number;
  fines_migration_m: number;
  nonwoody_decay_m: number;
  wood_decay_m: number;
}

/** Nitrogen at the end of a month, and its fluxes over the month. */
export interface NitrogenRow {
  organic_kg: number;
  mineral_kg: number;
  root_zone_g_m2: number;
  mineralised_g_m2: number;
  crop_demand_g_m2: number;
  crop_uptake_g_m2: number;
  leached_g_m2: number;
  /** Whether uptake was below four fifths of the demand. */
  is_short: boolean;
}

/** One layer on one day. */
export interface LayerMonth {
  thickness_m: number;
  carbon_kg: number;
  total_mass_kg: number;
  water_l: number;
  temperature_c: number;
  /** Days of the month on which part of it lacked oxygen. */
  airless_days: number;
  /** Volumes of wood, of soft pieces, of soil and compost, and of open voids add up to the layer; m3. */
  wood_m3: number;
  soft_m3: number;
  fines_m3: number;
  open_m3: number;
  /** The part of `fines_m3` that migrated from the layers above; m3. */
  migrated_m3: number;
  wood_carbon_kg: number;
}

/** The mean of a figure over the realisations, their median and their central 80 % interval. */
export interface Interval {
  mean: number;
  standard_error: number;
  lower: number;
  median: number;
  upper: number;
}

/** 80 % intervals of a month. */
export interface MonthIntervals {
  month: number;
  date: string;
  below_rim_m: Interval | null;
  /** Share of the realisations deeper below the rim than the depth asked about. */
  chance_deeper: number | null;
  height_m: Interval;
  settlement_m: Interval;
  added_m: Interval;
  /** Settlement less rise by additions; m. */
  lowered_m: Interval;
  mechanical_m: Interval;
  fines_migration_m: Interval;
  nonwoody_decay_m: Interval;
  wood_decay_m: Interval;
  carbon_kg: Interval;
  carbon_left: Interval;
  carbon_released_kg: Interval;
  total_mass_kg: Interval;
  vertical_stress_kpa: Interval;
  water_l: Interval;
  water_in_wood: Interval;
  root_zone_c: Interval;
  root_zone_lift_c: Interval;
  warm_days: Interval;
  warm_days_open_ground: Interval;
  nitrogen_organic_kg: Interval;
  nitrogen_mineral_kg: Interval;
  nitrogen_root_zone_g_m2: Interval;
  nitrogen_mineralised_g_m2: Interval;
  crop_nitrogen_demand_g_m2: Interval;
  crop_nitrogen_uptake_g_m2: Interval;
  nitrogen_leached_g_m2: Interval;
}

/** The readings that a forecast goes on from. */
export interface GivenReadings {
  count: number;
  last_on: string;
  last_height_m: number;
  /** Share of beds like it that would be read so far off. */
  as_unlikely: number;
  is_surprising: boolean;
  /** The readings at fault, where they are a surprise. */
  doubted: {
    on: string;
    /** The figure that would agree in the other unit, and whether that is the inch. */
    would_fit: [number, boolean] | null;
  }[];
  tempering_exponent: number;
}

/** Nitrogen of twelve months from the day of filling. */
export interface NitrogenYear {
  /** Number of the year, from 1. */
  year: number;
  crop_demand_g_m2: number;
  crop_uptake_g_m2: number;
  /** Months since filling in which the crop was short. */
  short_months: number[];
  lacking_g: number;
  suits: "hungry" | "modest" | "peas";
}

/** A value assumed because the document is silent. */
export interface DefaultUsed {
  /** Where it would stand in the document: a JSON Pointer. */
  path: string;
  value: string;
  source: string;
  width_it_adds_m: number | null;
  is_width_left_out?: boolean;
}

/** Something a reader should know; `{ ask: "notices" }` tells it in words. */
export interface Notice {
  code: string;
  severity: "note" | "warning" | "danger";
  /** The layer it speaks of, counted from the ground, 0 first. */
  layer: number | null;
  /** The figures that its text shows, by name. */
  values: [string, string][];
  /** Whether the bed file says that the owner has seen to it. */
  acknowledged: boolean;
}
