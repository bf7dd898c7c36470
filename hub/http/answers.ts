/**
 * What the interface answers, as schemas: /api/openapi.json shows them, the handlers are typed by
 * them, and tests/hub/http/answers.test.ts holds real answers against them. Names carry their
 * units; …UtcMs is real UTC, …RunMs the time of the run that is on, which a practice shifts.
 * Fields may be added in a later release: readers pass over what they do not know.
 */
import * as v from "valibot";
import {
  type Circumstances,
  type Contact,
  MOMENTS,
  type Place,
} from "../../shared/eclipse/circumstances-types.ts";
import type { EclipseSummary } from "../../shared/eclipse/table.ts";
import { PlanSchema, RigSchema, SitePartSchema } from "../../shared/plan/model/plan.ts";
import { CUE_ACTIONS } from "../../shared/plan/model/vocabulary.ts";
import { PLAN_NOTES, type PlanNote } from "../../shared/plan/plan-note.ts";
import type { BoardDocument } from "../../shared/protocol/board-document.ts";
import { MARSHAL_MATTERS, type MarshalReport } from "../../shared/protocol/marshals.ts";
import type { Answer, BoardContacts } from "../../shared/protocol/messages.ts";
import type { Alert } from "../../shared/run/alerts/alerts.ts";
import { PRIORITIES } from "../../shared/run/alerts/priority.ts";
import type { CueState } from "../../shared/run/cues/cue-states.ts";
import type { CueManner } from "../../shared/run/cues/manner.ts";
import type { Doubt } from "../../shared/run/doubt.ts";
import type { PracticeStarted } from "../../shared/run/events.ts";
import type { FilterState } from "../../shared/run/facts/filter-state.ts";
import {
  INSTRUMENT_FIELDS,
  INSTRUMENTS,
  type InstrumentField,
} from "../../shared/run/facts/instrument-fields.ts";
import { valueSchema } from "../../shared/run/facts/report-schema.ts";
import {
  type FieldValue,
  REPORTED,
  STATE_FIELDS,
  type StateField,
} from "../../shared/run/facts/reported-fields.ts";
import type { LoggedEvent } from "../../shared/run/logged-event.ts";
import { ProgrammeSchema } from "../../shared/run/orders/practice-programme.ts";
import type { Call, KnownAlert, Message, RollCall } from "../../shared/run/state.ts";
import type { LinkedDevice } from "../../shared/run/views/presence.ts";
import type { RollAnswer } from "../../shared/run/views/roll-answers.ts";
import { CALLS, FILTER_WORDS, READINESS } from "../../shared/run/vocabulary.ts";
import { said } from "./said.ts";

const whole = v.pipe(v.number(), v.integer());
const maybe = {
  number: v.nullable(v.number()),
  boolean: v.nullable(v.boolean()),
  text: v.nullable(v.string()),
};
const fraction = v.pipe(v.number(), v.minValue(0), v.maxValue(1));
const altitudeDeg = v.pipe(v.number(), v.minValue(-90), v.maxValue(90));
const angleDeg = v.pipe(v.number(), v.minValue(0), v.maxValue(360));
const place = {
  latDeg: v.pipe(v.number(), v.minValue(-90), v.maxValue(90)),
  lonDeg: v.pipe(v.number(), v.minValue(-180), v.maxValue(180)),
} satisfies Record<Exclude<keyof Place, "heightM">, v.GenericSchema>;
const localKind = v.picklist(["none", "partial", "annular", "total"]);
const isoText = said(v.string(), "ISO 8601 with ms, UTC");
const fiveOf = <Schema extends v.GenericSchema>(contact: Schema) =>
  v.object({ c1: contact, c2: contact, max: contact, c3: contact, c4: contact });

/** A schema that has each field of a type, none forgotten and none made up. */
type Fields<Type> = { [Field in keyof Type]-?: v.GenericSchema };

export const HealthAnswer = v.object({
  status: v.literal("ok"),
  version: v.string(),
  protocol: whole,
  utcMs: v.number(),
  clock: v.object({ source: v.string(), boundMs: said(v.number(), "How far it may be from UTC") }),
});

const eclipseFields = {
  id: v.pipe(v.string(), v.regex(/^\d{4}-\d\d-\d\d$/)),
  kind: v.picklist(["total", "annular", "hybrid", "partial"]),
  gamma: said(v.number(), "Least distance of the axis from the Earth's centre, Earth radii, north positive"),
  magnitude: said(v.number(), "Ratio of the discs' diameters where central, else the fraction covered"),
  ...place,
  durationS: said(v.number(), "Of the central phase at greatest eclipse; 0 for a partial one"),
} satisfies Fields<Omit<EclipseSummary, "greatestUtcMs">>;
export const EclipsesAnswer = v.object({
  eclipses: v.array(v.object({ ...eclipseFields, greatestUtc: isoText })),
});

const contact = v.object({
  utc: isoText,
  ...({
    utcMs: v.number(),
    altitudeDeg: said(altitudeDeg, "Of the Sun's centre, without refraction"),
    azimuthDeg: angleDeg,
    positionAngleDeg: said(angleDeg, "On the Sun's disc from celestial north through east"),
    positionAngleFromZenithDeg: angleDeg,
    aboveHorizon: v.boolean(),
  } satisfies Fields<Contact>),
});
const moment = v.exactOptional(v.number());
export const CircumstancesAnswer = v.object({
  eclipse: v.string(),
  kind: said(localKind, "Geometric: `visible` says whether any of it is above the horizon"),
  visible: v.boolean(),
  deltaTS: v.number(),
  kPenumbra: v.number(),
  kUmbra: v.number(),
  contacts: said(
    fiveOf(v.nullable(contact)),
    "For the smooth Moon and the canon's Sun (959.63″ at 1 au), whatever solarRadius is: `limb` is to be added to c2 and c3",
  ),
  durationS: said(v.number(), "From c2 to c3, both as `contacts` has them; 0 without a central phase"),
  magnitude: v.number(),
  ratio: said(v.number(), "Apparent diameter of the Moon over the Sun's at maximum"),
  obscuration: fraction,
  limb: v.exactOptional(
    said(
      v.object({ c2ShiftS: v.number(), c3ShiftS: v.number() }),
      "Leads from `contacts` to what is seen: the Moon's limb, and the Sun of solarRadius (that of eclipses, 959.95″, by default). Where they leave nothing of the phase its ends cross",
    ),
  ),
  moments: v.exactOptional(
    v.object(Object.fromEntries(MOMENTS.map((name) => [name, moment])) as Record<Moment, typeof moment>),
  ),
  timingBoundS: said(v.number(), "How good c2 and c3 are"),
  timingShares: v.array(
    v.object({
      cause: v.picklist(["elements", "deltaT", "place", "height", "limb", "solarRadius"]),
      s: v.number(),
    }),
  ),
  lengthBoundS: said(
    v.pipe(v.number(), v.minValue(0)),
    "By how much the central phase may be shorter than durationS because of what the place leaves open; durationS where the site may lie outside the path, 0 without a central phase",
  ),
  sunriseUtcMs: maybe.number,
  sunsetUtcMs: maybe.number,
  sunUp: v.exactOptional(v.object({ fromUtcMs: maybe.number, untilUtcMs: maybe.number })),
} satisfies Fields<Circumstances>);
type Moment = (typeof MOMENTS)[number];
export type CircumstancesAnswer = v.InferOutput<typeof CircumstancesAnswer>;

const boardContacts = v.object({
  c1: maybe.number,
  c2: maybe.number,
  max: maybe.number,
  c3: maybe.number,
  filterC3: said(maybe.number, "Never later than predicted: filters and glasses go on by this one"),
  c4: maybe.number,
  safeC3: said(maybe.number, "filterC3 less the doubt that is left: glasses go on 15 s before it"),
} satisfies Fields<BoardContacts>);
export const BoardAnswer = v.object({
  revision: whole,
  siteName: v.string(),
  group: v.string(),
  zone: v.string(),
  latDeg: v.nullable(place.latDeg),
  lonDeg: v.nullable(place.lonDeg),
  heightM: v.nullable(v.number()),
  eclipse: maybe.text,
  kind: v.picklist([...localKind.options, "unset"]),
  visible: v.boolean(),
  contacts: said(boardContacts, "Of the run that is on, run time, ms"),
  realContacts: said(boardContacts, "Of the real run, UTC, ms"),
  magnitude: v.number(),
  ratio: v.number(),
  obscuration: fraction,
  positionAngles: v.object({ c1: v.nullable(angleDeg), c4: v.nullable(angleDeg) }),
  practice: v.nullable(
    v.object({
      startedUtcMs: v.number(),
      startRunMs: v.number(),
      rate: v.number(),
      endsAtUtcMs: v.number(),
    }),
  ),
  cover: said(v.boolean(), "Every lens is to be covered now"),
  calledTotalityMs: maybe.number,
  calledReturnMs: maybe.number,
  stayFiltered: v.boolean(),
  sky: said(
    v.array(
      v.object({
        name: v.string(),
        altitudeDeg: angleDeg,
        azimuthDeg: angleDeg,
        magnitude: v.number(),
        sunDeg: angleDeg,
      }),
    ),
    "Planets and bright stars of totality, as they stand at maximum",
  ),
  calledOut: said(
    v.object({ totalityMs: maybe.number, returnMs: maybe.number }),
    "Calls of this run that nobody took back, whether they stand or not",
  ),
  skySeen: said(maybe.text, "What the rigs say of the sky now, or said before the Sun came back"),
  doubtS: said(v.number(), "Place and clock together, s; safeC3 reckons with it"),
  number: said(whole, "Rises with every document of the site; an older one is a replay"),
  issuedUtcMs: v.number(),
  clock: said(
    v.object({ epoch: v.string(), backMs: v.number() }),
    "Since this start of the hub its clock has been set back by so much in all, ms",
  ),
  nextUtcMs: said(v.number(), "When the hub means to say it again"),
  validUntilUtcMs: said(v.number(), "Who has heard nothing newer by then says glasses on"),
  slow: said(v.number(), "So many times slower than usual boards are asked to fetch"),
  embed: said(v.array(v.string()), "Hosts whose pages may show the board in a frame"),
  key: said(v.string(), "The site's Ed25519 public key, base64url"),
  signature: said(
    v.string(),
    "Ed25519 (RFC 8032), base64url, over the bytes of this JSON without this last member",
  ),
} satisfies Fields<BoardDocument>);

export const CrowdAnswer = v.object({
  key: said(v.string(), "The public key that stands in boards' addresses"),
  publish: said(
    v.nullable(
      v.object({
        address: said(v.string(), "The broker, without credentials"),
        trouble: said(maybe.text, "Why nothing arrives there; null while it does"),
        lastPublishedUtcMs: maybe.number,
        others: said(
          v.nullable(v.picklist(["other site", "same site", "no hub"])),
          "Who else has written there within half a minute",
        ),
      }),
    ),
    "null where no broker was named",
  ),
  relays: said(whole, "Relays heard within ten seconds"),
  boards: said(whole, "Boards looking, as those relays count"),
  lastHeardMs: said(maybe.number, "Since a relay was last heard"),
  embed: v.array(v.string()),
  address: said(maybe.text, "Where the public finds the board; null: at this hub"),
});

export const MarshalReportAnswer = v.object({
  id: v.string(),
  matter: v.picklist(MARSHAL_MATTERS),
  place: v.string(),
  atUtcMs: said(v.number(), "When it was tapped"),
  practice: said(v.optional(v.boolean()), "A practice was on when it came"),
  answer: v.nullable(v.picklist(["on it", "done"])),
} satisfies Fields<MarshalReport>);
export const MarshalsAnswer = v.object({
  reports: v.array(MarshalReportAnswer),
  words: v.array(v.object({ id: v.string(), text: v.string(), atUtcMs: v.number() })),
});

export const MarshalsDeskAnswer = v.object({
  reports: v.array(MarshalReportAnswer),
  words: v.array(
    v.object({
      id: v.string(),
      text: v.string(),
      atUtcMs: v.number(),
      seen: said(v.number(), "Marshals' pages that have shown it"),
      of: said(v.number(), "The same and those that are open"),
    }),
  ),
});

export const TimeAnswer = v.object({
  utcMs: said(v.number(), "This machine's UTC, ms"),
  boundMs: said(v.number(), "How far it may be off, ms"),
});

export const PlanAnswer = PlanSchema;

export const planNote = v.object({
  code: v.picklist(PLAN_NOTES),
  rigId: v.string(),
  cueId: v.optional(v.string()),
  field: v.optional(v.string()),
  data: v.record(v.string(), v.union([v.string(), v.number()])),
} satisfies Fields<PlanNote>);
const notes = v.optional(
  said(v.array(planNote), "What the save did besides what was asked; absent for nothing"),
);
export const SavedPlanAnswer = v.object({ ...PlanSchema.entries, notes });
export const SitePartAnswer = SitePartSchema;
export const RigPartAnswer = v.object({
  rig: RigSchema,
  acknowledged: v.array(v.object({ rule: v.string(), by: v.string() })),
});
export const SavedPartAnswer = v.object({ revision: said(whole, "Of this part, as in its ETag"), notes });

const filterWord = v.picklist(FILTER_WORDS);
const filterState = v.picklist([...filterWord.options, "none by design"] satisfies FilterState[]);
const MODES = [
  "plain",
  "touch",
  "rehearsed",
  "unsaid",
  "by-eye",
  "filter-first",
  "stay",
  "overcast",
  "too-late",
  "never",
  "revoked",
  "covered",
] as const satisfies CueManner[];
const cue = v.object({
  id: v.string(),
  state: v.picklist(["ahead", "next", "now", "late", "done", "skipped"] satisfies CueState[]),
  action: v.picklist(CUE_ACTIONS),
  key: maybe.text,
  say: maybe.text,
  dueRunMs: v.number(),
  fromRunMs: v.number(),
  toRunMs: v.number(),
  lateS: v.number(),
  mode: said(v.picklist(MODES), "How it is put to a person now"),
});
const device = v.object({
  deviceId: v.string(),
  label: v.string(),
  boundMs: maybe.number,
  utcBoundMs: maybe.number,
  armed: said(v.boolean(), "It follows cues and clock without the hub, if need be"),
  agent: v.exactOptional(said(v.boolean(), "It reads instruments; no person is told anything by it")),
  sinceUtcMs: v.number(),
} satisfies Fields<LinkedDevice>);
/** Null while nobody has said. */
const stateFields = Object.fromEntries(
  STATE_FIELDS.map((field) => [field, v.nullable(valueSchema(REPORTED[field].type))]),
) as { [Field in StateField]: v.NullableSchema<v.GenericSchema<FieldValue<Field>>, undefined> };
const instrumentFields = Object.fromEntries(
  Object.entries(INSTRUMENT_FIELDS).map(([field, { type }]) => [field, v.nullable(valueSchema(type))]),
) as Record<InstrumentField, v.NullableSchema<v.GenericSchema, undefined>>;
const source = {
  by: v.picklist(["person", "instrument"]),
  instrument: said(v.nullable(v.picklist(INSTRUMENTS)), "Null for a person"),
  atUtcMs: v.number(),
};
const fieldSource = v.object({
  ...source,
  other: v.exactOptional(
    said(v.object({ ...source, value: v.unknown() }), "Where person and instrument differ: the other's word"),
  ),
});
const rig = v.object({
  id: v.string(),
  name: v.string(),
  kind: RigSchema.entries.kind,
  operator: v.string(),
  filter: said(filterState, "What is to be reckoned with: unknown after a long silence"),
  filterSaid: said(filterWord, "What was last said"),
  filterDisputed: v.boolean(),
  exposed: said(v.boolean(), "Its filter is off outside its allowance in sunlight"),
  ...stateFields,
  ...instrumentFields,
  from: said(v.record(v.string(), fieldSource), "Who said each field, and when; missing while nobody has"),
  help: v.boolean(),
  linked: said(v.boolean(), "A device with a person before it; agents stand under devices"),
  devices: v.array(device),
  practiceSafe: said(v.boolean(), "Really capped or pointed away for this practice"),
  lastUtcMs: said(maybe.number, "Newest report"),
  latenessS: v.number(),
  cueNow: v.nullable(cue),
  cueNext: v.nullable(cue),
  cues: v.array(cue),
});
const runContact = v.object({
  utc: said(isoText, "Run time"),
  utcMs: said(v.number(), "Run time"),
  predictedUtc: said(v.nullable(isoText), "Before shifts and calls"),
  realUtcMs: said(v.number(), "When it comes by the clock on the wall"),
});
export const RunAnswer = v.object({
  runId: v.string(),
  kind: v.picklist(["real", "practice"]),
  practice: v.nullable(
    v.object({
      runId: v.string(),
      anchor: v.string(),
      offsetS: v.number(),
      rate: v.number(),
      startedUtcMs: v.number(),
      startRunMs: v.number(),
      endsAtUtcMs: v.number(),
      programme: said(v.optional(ProgrammeSchema), "What else was asked for"),
    } satisfies Fields<PracticeStarted>),
  ),
  planRevision: whole,
  eclipse: PlanSchema.entries.eclipse,
  site: PlanSchema.entries.site,
  utcMs: v.number(),
  runUtcMs: v.number(),
  exposed: said(v.boolean(), "Bare photosphere can reach a lens now"),
  cover: v.nullable(v.object({ sinceUtcMs: v.number(), by: v.string() })),
  doubt: v.object({
    reasons: v.array(
      v.picklist([
        "clock bound",
        "clock disputed",
        "laptop slept",
        "site unconfirmed",
        "place uncertain",
        "prediction revised",
        "place changed",
        "elsewhere",
        "called off",
      ] satisfies Doubt["reasons"]),
    ),
    byS: said(v.number(), "How much earlier safe-making cues come until somebody has seen totality"),
    figureS: said(v.number(), "Place and the worst of the clock, also without a reason"),
    eyeEarlyS: said(v.number(), "How long before C2, less 5 s, a call of totality is believed"),
    lengthS: said(v.number(), "Totality's length"),
    lengthOpenS: said(v.number(), "How much shorter it may be for what the place leaves open"),
  } satisfies Fields<Doubt>),
  calls: v.array(
    v.object({
      callId: v.string(),
      call: v.picklist(CALLS),
      atRunMs: v.number(),
      predictedRunMs: v.optional(
        said(v.nullable(v.number()), "The contact that it names, as predicted then; null for none"),
      ),
      by: v.string(),
      takenBack: v.boolean(),
      ended: v.exactOptional(said(v.boolean(), "Something made things safe after this call of totality")),
    } satisfies Fields<Call>),
  ),
  rigs: v.array(rig),
  alerts: v.array(
    v.object({
      id: v.string(),
      priority: v.picklist(PRIORITIES),
      cause: v.string(),
      sinceUtcMs: v.number(),
      rigId: v.exactOptional(v.string()),
      takenBy: v.nullable(v.string()),
      seenBy: v.nullable(v.string()),
      shelvedUntilUtcMs: v.nullable(v.number()),
    } satisfies Fields<Alert & Pick<KnownAlert, "takenBy" | "seenBy" | "shelvedUntilUtcMs">>),
  ),
  roll: v.nullable(
    v.object({
      rollId: v.string(),
      runId: v.string(),
      rigIds: v.nullable(v.array(v.string())),
      by: v.string(),
      sinceUtcMs: v.number(),
      untilUtcMs: v.number(),
      answers: v.array(
        v.object({
          rigId: v.string(),
          ready: v.nullable(v.picklist(READINESS)),
          atUtcMs: v.nullable(v.number()),
          late: v.boolean(),
        } satisfies Fields<RollAnswer>),
      ),
    } satisfies Fields<RollCall & { answers: unknown }>),
  ),
  messages: v.array(
    v.object({
      messageId: v.string(),
      runId: said(v.string(), "A message of a practice ends with it"),
      text: v.string(),
      rigIds: v.nullable(v.array(v.string())),
      urgent: v.exactOptional(v.boolean()),
      by: v.string(),
      sentUtcMs: v.number(),
      seenBy: v.record(v.string(), v.number()),
    } satisfies Fields<Message>),
  ),
  contacts: fiveOf(v.nullable(runContact)),
});
export type RunAnswer = v.InferOutput<typeof RunAnswer>;

export const LogAnswer = v.object({
  events: v.array(
    v.object({
      seq: said(whole, "1, 2, 3 … without gaps, over all runs"),
      runId: v.string(),
      type: v.string(),
      v: said(whole, "Version of the payload's shape"),
      actor: v.string(),
      commandId: v.string(),
      observedUtcMs: said(v.number(), "By the observer's clock, real UTC in practice runs, too"),
      boundMs: maybe.number,
      deviceId: maybe.text,
      deviceSeq: v.nullable(whole),
      loggedUtcMs: v.number(),
      payload: said(v.unknown(), "By `type` and `v`"),
    } satisfies Fields<LoggedEvent>),
  ),
});

/** Of an order or a report that was taken: refusals have the form of an error. */
export const TakenAnswer = v.object({
  ok: v.literal(true),
  seq: said(whole, "The last event it made"),
  notes: v.exactOptional(v.array(v.unknown())),
} satisfies Fields<Extract<Answer, { ok: true }>>);
