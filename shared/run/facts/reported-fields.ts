/**
 * Everything that may be reported of a rig: one row a field. Schema, record, merging, GET /api/run,
 * its description, the log as a table, the phone's report screen and the lead's panel are made from
 * it; its words stand in console/words/…/facts.json under `fact.<field>`. Plain data, so that pages
 * carry no schemas. What only instruments say is the table's other half: instrument-fields.ts.
 *
 * Who said it stands in the register of each field (`Register.by`, an actor such as "rig:west") and
 * its device. A report that names its `instrument` was said by none of the people: it may say only
 * what instrument-fields.ts lets it, and its words are kept apart from theirs.
 */
import { FILTER_WORDS, READINESS, SKIES } from "../vocabulary.ts";

/** What a field holds. */
export type FieldType =
  /** `unit` as on screens. `step` is the last digit that is worth reading; `taps` add at a tap. */
  | { is: "number"; least: number; most: number; unit: string; step: number; taps: readonly number[] }
  | { is: "flag" }
  | { is: "word"; words: readonly string[] }
  | { is: "text"; most: number }
  /** An instant, UTC in ms. */
  | { is: "time" }
  /** Id of a cue ("filter-off", or "partial-before.3" for the third of a series), or of a message. */
  | { is: "cue" }
  /** Yes or no by id. */
  | { is: "checks" }
  /** Yes or no by each of these names. */
  | { is: "flags"; of: readonly string[] };

/**
 * How the words of several devices, and those of a practice run, are taken together.
 *
 * newest     a register: the newest observation; in a practice that of the real run, too
 * run        the same, but a practice starts with none
 * filter     S9 (filter-state.ts)
 * part       belongs to another field or is kept by id: evolve.ts
 */
type Merging = "newest" | "run" | "filter" | "part";

export interface ReportedField {
  type: FieldType;
  merges: Merging;
  /** Where a phone asks for it. Without one it is said in passing: by a cue, a button, the phone itself. */
  asked?: "report" | "set-up";
  /** Of a register: stands in GET /api/run under its name, null while nobody has said. */
  inRun?: true;
}

const flag = { is: "flag" } as const;
const state = { merges: "newest", asked: "report", inRun: true } as const;

export const REPORTED = {
  filter: {
    type: { is: "word", words: FILTER_WORDS },
    merges: "filter",
    asked: "report",
  },
  /** The filter was looked at: settles a disagreement (S9). */
  looked: { type: flag, merges: "part" },
  cardFreeGB: {
    type: { is: "number", least: 0, most: 100_000, unit: "GB", step: 0.1, taps: [-8, -1] },
    ...state,
  },
  /** Of the camera. */
  batteryPct: {
    type: { is: "number", least: 0, most: 100, unit: "%", step: 1, taps: [-10, -5] },
    ...state,
  },
  /** Of the phone beside the rig, which says it by itself. */
  phoneBatteryPct: {
    type: { is: "number", least: 0, most: 100, unit: "%", step: 1, taps: [] },
    merges: "newest",
    inRun: true,
  },
  tracking: { type: flag, ...state },
  focused: { type: flag, ...state },
  recording: { type: flag, ...state },
  sky: { type: { is: "word", words: SKIES }, ...state },
  cueDone: { type: { is: "cue" }, merges: "part" },
  cueSkipped: { type: { is: "cue" }, merges: "part" },
  /** Takes back a mark made by mistake. */
  cueReopened: { type: { is: "cue" }, merges: "part" },
  /** A message of the lead was shown, or sounded, on a phone of this rig: its id. */
  messageSeen: { type: { is: "cue" }, merges: "part" },
  /** The phone beside the rig counted a cue in: when the long pip began, UTC; for the sound of a video. */
  countIn: { type: { is: "time" }, merges: "part" },
  /** And its first short pip; they come one a second. Without any it is the long one's instant. */
  countInFrom: { type: { is: "time" }, merges: "part" },
  /** The answer to a roll call: "ready", or what is lacking. */
  ready: { type: { is: "word", words: READINESS }, merges: "run", inRun: true },
  /** S7: a rig without a filter by design was capped when every lens was to be covered. Says nothing of later. */
  covered: { type: flag, merges: "newest" },
  help: { type: flag, merges: "newest" },
  /** The operator sees totality with their own eyes (S5). */
  sawTotality: { type: flag, merges: "run" },
  /** For this practice run the rig is capped or points away from the Sun (S8). */
  practiceSafe: { type: flag, merges: "run" },
  /** Set-up checks by id. */
  checks: { type: { is: "checks" }, merges: "part", asked: "set-up" },
  /** What the phone can do now: screen kept on, sound, voice, vibration. */
  armed: { type: { is: "flags", of: ["screen", "sound", "voice", "vibration"] }, merges: "newest" },
} as const satisfies Record<string, ReportedField>;

type Table = typeof REPORTED;
export type FieldName = keyof Table;

export type ValueOfType<Type> = Type extends { is: "number" | "time" }
  ? number
  : Type extends { is: "flag" }
    ? boolean
    : Type extends { is: "word"; words: readonly (infer Word)[] }
      ? Word
      : Type extends { is: "cue" | "text" }
        ? string
        : Type extends { is: "flags"; of: readonly (infer Name extends string)[] }
          ? Record<Name, boolean>
          : Record<string, boolean>;

/** What a field holds, as a type. */
export type FieldValue<Field extends FieldName> = ValueOfType<Table[Field]["type"]>;

type FieldsWith<Row> = { [Field in FieldName]: Table[Field] extends Row ? Field : never }[FieldName];
/** Fields kept as registers of a rig's record. */
export type RegisterName = FieldsWith<{ merges: "newest" | "run" }>;
/** Fields of a rig's state: asked for on the report screen, and in GET /api/run. */
export type StateField = FieldsWith<{ inRun: true }>;

/** What is known of a rig's state; null while nobody has said. */
export type StateNow = { [Field in StateField]: FieldValue<Field> | null };

const NAMES = Object.keys(REPORTED) as FieldName[];
const row = (field: FieldName): ReportedField => REPORTED[field];

export const REGISTERS = NAMES.filter((field) => /^(newest|run)$/.test(row(field).merges)) as RegisterName[];
export const STATE_FIELDS = NAMES.filter((field) => row(field).inRun) as StateField[];
