/**
 * What goes over a socket between the hub and its clients, by name and in both directions
 * (`ServerToClient`, `ClientToServer`). Everything a client sends is parsed by these schemas at
 * the hub's edge; what the hub sends is looked at by clients before they use it
 * (shared/link/from-hub.ts).
 *
 * A client says in its handshake who it is and how far it has read (`last`); the hub answers
 * with `welcome`, then either the events it lacks or the whole state.
 */
import * as v from "valibot";
import { flag } from "../fields/flag.ts";
import { id } from "../fields/id.ts";
import { listOf } from "../fields/list.ts";
import { count, finite } from "../fields/number.ts";
import { rawText } from "../fields/text.ts";
import type { Alert } from "../run/alerts/alerts.ts";
import type { SiteEvent } from "../run/events.ts";
import { type FactSchema, OrderSchema } from "../run/orders/commands.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import type { SiteState } from "../run/state.ts";
import type { Presence } from "../run/views/presence.ts";
import type { HubCourse } from "../sync/samples.ts";
import type { RunMs, UtcMs } from "../time/instants.ts";

const token = v.pipe(rawText(200), v.minLength(1, "must not be empty"));
const epoch = v.pipe(rawText(80), v.minLength(1, "must not be empty"));
const whole = v.pipe(finite, v.safeInteger("must be whole"));
const device = {
  protocol: whole,
  deviceId: id,
  /** What kind of device, for the console: "Android phone", "laptop". */
  label: v.optional(rawText(80), ""),
  last: v.optional(v.nullable(v.strictObject({ epoch, seq: count })), null),
  evolveVersion: v.optional(whole, 0),
};

export const HelloSchema = v.variant("role", [
  v.strictObject({ role: v.literal("lead"), token, ...device }),
  v.strictObject({
    role: v.literal("rig"),
    rigs: v.pipe(listOf(v.strictObject({ id, token }), 20, "rigs"), v.minLength(1, "must not be empty")),
    /** It reads instruments, and there is nobody before it who could be told anything. */
    agent: v.exactOptional(v.literal(true)),
    ...device,
  }),
  v.strictObject({ role: v.literal("board"), protocol: whole }),
]);
export type Hello = v.InferOutput<typeof HelloSchema>;
/** The same as it may be said: what has a default may be left out. */
export type HelloWords = v.InferInput<typeof HelloSchema>;

/** A client's question for the hub's time; `t1` is its own monotonic time, ms. */
export const ProbeSchema = v.strictObject({ t1: finite });
export const OrderMessageSchema = v.strictObject({ id, order: OrderSchema });
/** Each fact is parsed by itself (FactSchema): a malformed one holds no other up. */
export const FactsMessageSchema = v.pipe(
  listOf(v.strictObject({ id, fact: v.unknown() }), 50, "facts"),
  v.minLength(1, "must not be empty"),
);
/** Chatter of a device about itself; never logged. */
export const PulseSchema = v.strictObject({
  boundMs: v.nullable(finite),
  utcBoundMs: v.nullable(finite),
  armed: flag,
  /** The device's own clock minus its estimate of the hub's, ms: a witness. */
  ownClockOffsetMs: v.nullable(finite),
});
export type Pulse = v.InferOutput<typeof PulseSchema>;
/** "I have everything up to `seq`; send what follows", -1 for the whole state. */
export const ResyncSchema = v.object({ seq: v.pipe(whole, v.minValue(-1)) });

export type Answer = { ok: true; seq: number; notes?: unknown[] } | { ok: false; refusal: Refusal };

export interface ProbeAnswer {
  t2: number;
  t3: number;
  hubBoundMs: number;
  /** What the hub says of its own corrections (shared/sync/samples.ts). */
  course?: HubCourse;
  disputed: boolean;
  slept: boolean;
  /** ClockHealth.apartMs of the hub; missing from older hubs. */
  apartMs?: number;
}

export interface Welcome {
  protocol: number;
  version: string;
  epoch: string;
  /** Rigs this socket may speak for, and those it may not. */
  rigIds: string[];
  refused: { rigId: string; reason: "bad link" | "revoked" | "removed" }[];
}

/**
 * `filterC3` is never later than predicted, whatever was shifted (S5). `safeC3` is the same less
 * the doubt that is left, the earliest of what any rig of the site reckons with: "glasses on"
 * hangs on it.
 */
export type BoardContacts = Record<"c1" | "c2" | "max" | "c3" | "filterC3" | "safeC3" | "c4", RunMs | null>;

/** A planet or star in the dark of totality, as it stands at maximum. */
export interface BrightBody {
  name:
    | "mercury"
    | "venus"
    | "mars"
    | "jupiter"
    | "saturn"
    | "sirius"
    | "canopus"
    | "arcturus"
    | "vega"
    | "capella"
    | "rigel"
    | "procyon"
    | "aldebaran"
    | "antares"
    | "spica"
    | "regulus"
    | "alphaCentauri"
    | "achernar"
    | "betelgeuse"
    | "hadar"
    | "altair"
    | "pollux"
    | "fomalhaut"
    | "deneb"
    | "acrux";
  altitudeDeg: number;
  /** From north through east. */
  azimuthDeg: number;
  magnitude: number;
  /** From the Sun's middle. Missing from hubs of before. */
  sunDeg?: number;
}

/** What the public sees; derived, small, no names of people. */
export interface BoardSnapshot {
  revision: number;
  siteName: string;
  group: string;
  zone: string;
  latDeg: number | null;
  lonDeg: number | null;
  /** Above the sea: from a mountain the Sun is seen for longer. Missing from hubs of before. */
  heightM?: number | null;
  eclipse: string | null;
  kind: "none" | "partial" | "annular" | "total" | "unset";
  visible: boolean;
  /** Effective contacts of the run that is on, run time ms. */
  contacts: BoardContacts;
  /** Those of the real run: for a board that has ended a practice by itself (S8). */
  realContacts: BoardContacts;
  /** Altitude and position angles at the contacts, for the drawing. */
  magnitude: number;
  ratio: number;
  obscuration: number;
  positionAngles: Record<"c1" | "c4", number | null>;
  practice: { startedUtcMs: UtcMs; startRunMs: RunMs; rate: number; endsAtUtcMs: UtcMs } | null;
  cover: boolean;
  /** Calls of totality, or of the Sun's return, that stand in this run (S6): run time ms. */
  calledTotalityMs: RunMs | null;
  calledReturnMs: RunMs | null;
  stayFiltered: boolean;
  /** Place and clock together, seconds, in half seconds upwards: `safeC3` reckons with it already. */
  doubtS: number;
  /** Brightest first; empty where there is no totality. */
  sky: readonly BrightBody[];
  /**
   * What was called in this run and not taken back, though it stands no more: for those who come later.
   * Missing from hubs of before.
   */
  calledOut?: { totalityMs: RunMs | null; returnMs: RunMs | null };
  /** What the rigs say of the sky now, or said before the Sun came back; null where none did lately. */
  skySeen: "clear" | "thin" | "broken" | "overcast" | null;
}

/** Messages by name, hub to client. */
export interface ServerToClient {
  welcome(welcome: Welcome): void;
  state(message: { seq: number; state: SiteState }): void;
  events(events: readonly SiteEvent[]): void;
  /** Leads only. */
  presence(presence: Presence): void;
  /** Leads only. */
  alerts(standing: readonly Alert[]): void;
  /** "Cover every lens", before it is in the log (S7). */
  cover(message: { by: string }): void;
  /** To phones whose links are not good any more, beside `cover`: all others read it in the events. */
  coverReleased(message: { by: string }): void;
  /** The hub's clock was put right at once: ask anew. */
  clock(message: Record<string, never>): void;
  /** Boards only. */
  board(snapshot: BoardSnapshot): void;
  /** The hub refuses this client for good: it stops reconnecting. */
  refused(why: Refusal): void;
}

/** Messages by name, client to hub. Where there is a second argument the hub answers by it. */
export interface ClientToServer {
  probe(probe: { t1: number }, answer: (answer: ProbeAnswer) => void): void;
  /** Leads only. */
  order(
    message: { id: string; order: v.InferInput<typeof OrderSchema> },
    answer: (answer: Answer) => void,
  ): void;
  /** One answer for each, in the same order. */
  facts(
    facts: readonly { id: string; fact: v.InferInput<typeof FactSchema> }[],
    answer: (answers: readonly Answer[]) => void,
  ): void;
  pulse(pulse: Pulse): void;
  resync(message: { seq: number }): void;
}

export type HubMessage = keyof ServerToClient;
export type ClientMessage = keyof ClientToServer;
/** What a message carries. */
export type HubData<Name extends HubMessage> = Parameters<ServerToClient[Name]>[0];
export type ClientData<Name extends ClientMessage> = Parameters<ClientToServer[Name]>[0];
/** What is answered to it; `never` where nothing is. */
export type AnswerTo<Name extends ClientMessage> =
  Parameters<ClientToServer[Name]> extends [unknown, (answer: infer Value) => void] ? Value : never;
/** A client's socket: what comes is unknown until it was looked at; who sends has typed it already. */
export type FromHub = Record<HubMessage, (data: unknown) => void>;
export type ToHub = Record<Telling, (data: unknown) => void> &
  Record<Asking, (data: unknown, answer: (value: unknown) => void) => void>;
export type Asking = "probe" | "order" | "facts";
export type Telling = Exclude<ClientMessage, Asking>;
