/**
 * What has happened, as the model itself made it happen, and what of it one observer (hub, phone,
 * board) can know. No state of the code under test is read here: whether the hub took an order is
 * all that comes from there, and the oracle judges that, too.
 */
import type { Predicted } from "./adaptor.ts";
import type { Spot } from "./places.ts";

export type Word = "on" | "off" | "unknown" | "capped";

interface Heard {
  /** The hub's sequence number after it; null while only the device that said it knows. */
  seq: number | null;
}

export type OrderFact = Heard & {
  seq: number;
  /** The hub's clock, and the run it fell in. */
  atUtc: number;
  atRun: number;
  trueMs: number;
  run: string;
} & (
    | { kind: "totality" | "returns" | "stay"; callId: string }
    | { kind: "takeBack"; callId: string }
    | { kind: "cover" | "release" }
    | { kind: "shift"; contact: string; shiftMs: number }
    | { kind: "place"; spot: Spot; predicted: Predicted; confirmed: boolean; moved: boolean }
    | { kind: "practice"; startRun: number }
    | { kind: "practiceEnd" }
  );

export type RigFact = Heard & {
  deviceId: string;
  n: number;
  stampUtc: number;
  /** Run time by the sayer's clock. */
  stampRun: number;
  trueMs: number;
  run: string;
  rigId: string;
} & (
    | { kind: "word"; word: Word; looked: boolean }
    /** `credible`: not before C2 less 5 s and the sayer's doubt. */
    | { kind: "saw"; value: boolean; credible: boolean }
    | { kind: "sky"; sky: string }
    | { kind: "practiceSafe"; value: boolean }
  );

export interface Observer {
  name: string;
  /** Orders and facts up to this sequence number are known to it. */
  seq: number;
  deviceId: string | null;
  nowUtc: number;
  clock: { boundMs: number; hubBoundMs: number; apartMs: number; disputed: boolean; stepped: boolean };
  /** Cover as it was told apart from the log; null: from the log. */
  cover: boolean | null;
}

/** Everything one observer knows of the site at its instant. */
export interface Knows {
  seenBy: Observer;
  run: string;
  practice: boolean;
  t: number;
  spot: Spot;
  sky: Predicted;
  confirmed: boolean;
  cover: boolean;
  shifts: Readonly<Record<string, number>>;
  /** Hub's UTC at which a contact was last shifted, or the prediction moved; the place, likewise. */
  revisedUtc: number;
  movedUtc: number;
  /** Run time of the call of totality that stands, ended by nothing that makes things safe. */
  calledAt: number | null;
  stay: boolean;
  /** Run time of a standing "Sun returns" that no later call of totality answers. */
  returnedAt: number | null;
  /** UTC of the last order that made things safe, whether or not it was taken back. */
  lastSafeUtc: number;
  lastSafeTrue: number;
}

export class History {
  readonly orders: OrderFact[] = [];
  readonly facts: RigFact[] = [];

  knows(seenBy: Observer): Knows {
    const known = this.orders.filter((order) => order.seq <= seenBy.seq);
    let practice: { run: string; startRun: number; atUtc: number } | null = null;
    let place: Extract<OrderFact, { kind: "place" }> | null = null;
    let cover = false;
    let revisedUtc = Number.NEGATIVE_INFINITY;
    let movedUtc = Number.NEGATIVE_INFINITY;
    let lastSafeUtc = Number.NEGATIVE_INFINITY;
    let lastSafeTrue = Number.NEGATIVE_INFINITY;
    for (const order of known) {
      if (order.kind === "practice")
        practice = { run: order.run, startRun: order.startRun, atUtc: order.atUtc };
      else if (order.kind === "practiceEnd") practice = null;
      else if (order.kind === "cover") cover = true;
      else if (order.kind === "release") cover = false;
      else if (order.kind === "place") {
        if (place && order.moved) movedUtc = order.atUtc;
        place = order;
      }
    }
    if (!place) throw new Error("no place has been planned");
    const run = practice?.run ?? "real";
    const standing = new Map<string, OrderFact>();
    const shifts: Record<string, number> = {};
    /** Calls of totality since the last order that made things safe. */
    let totals: Extract<OrderFact, { callId: string }>[] = [];
    for (const order of known) {
      if (["cover", "release", "stay", "returns"].includes(order.kind)) {
        if (order.run === run || order.kind === "cover" || order.kind === "release") {
          totals = [];
          lastSafeUtc = order.atUtc;
          lastSafeTrue = order.trueMs;
        }
      }
      if (order.kind === "place" && order.moved && run === "real") totals = [];
      if (order.run !== run) continue;
      if (order.kind === "shift") {
        // Time gained at the end, or another sky: only a fresh call opens.
        if (order.contact === "c3" && order.shiftMs > (shifts.c3 ?? 0)) totals = [];
        shifts[order.contact] = order.shiftMs;
        revisedUtc = order.atUtc;
      } else if (order.kind === "takeBack") {
        standing.delete(order.callId);
        totals = totals.filter(({ callId }) => callId !== order.callId);
      } else if ("callId" in order) {
        standing.set(order.callId, order);
        if (order.kind === "totality") totals.push(order);
      }
    }
    const lastCall = [...standing.values()].findLast(({ kind }) => kind === "totality")?.seq ?? -1;
    const open = (kind: string) => [...standing.values()].find((o) => o.kind === kind && o.seq > lastCall);
    return {
      seenBy,
      run,
      practice: practice !== null,
      t: practice ? practice.startRun + seenBy.nowUtc - practice.atUtc : seenBy.nowUtc,
      spot: place.spot,
      sky: place.predicted,
      confirmed: place.confirmed,
      cover: seenBy.cover ?? cover,
      shifts,
      revisedUtc,
      movedUtc,
      calledAt: totals[0]?.atRun ?? null,
      stay: open("stay") !== undefined,
      returnedAt: open("returns")?.atRun ?? null,
      lastSafeUtc,
      lastSafeTrue,
    };
  }

  /** Facts of a rig that an observer knows, in the run that is on and, in a practice, in the real one. */
  ofRig<K extends RigFact["kind"]>(kind: K, rigId: string, knows: Knows, alsoReal: boolean) {
    const { seq, deviceId } = knows.seenBy;
    return this.facts.filter(
      (fact): fact is Extract<RigFact, { kind: K }> =>
        fact.kind === kind &&
        fact.rigId === rigId &&
        (fact.run === knows.run || (alsoReal && fact.run === "real")) &&
        ((fact.seq !== null && fact.seq <= seq) || fact.deviceId === deviceId),
    );
  }

  /** S9: what the filter is held to be. */
  filter(rigId: string, knows: Knows): Word {
    const words = this.ofRig("word", rigId, knows, true);
    const newest = new Map<string, (typeof words)[number]>();
    for (const word of words)
      if ((newest.get(word.deviceId)?.n ?? -1) < word.n) newest.set(word.deviceId, word);
    const looked = words
      .filter((word) => word.looked)
      .reduce<(typeof words)[number] | null>((a, b) => (a && a.stampUtc > b.stampUtc ? a : b), null);
    const standing = [...newest.values()].filter(
      (word) =>
        !looked ||
        (word.deviceId === looked.deviceId ? word.n >= looked.n : word.stampUtc >= looked.stampUtc),
    );
    if (standing.some(({ word }) => word === "off")) return "off";
    return standing.sort((a, b) => a.stampUtc - b.stampUtc).at(-1)?.word ?? "unknown";
  }

  /** The newest of a plain register. */
  newest<K extends RigFact["kind"]>(kind: K, rigId: string, knows: Knows, alsoReal: boolean) {
    const all = this.ofRig(kind, rigId, knows, alsoReal);
    return all.sort((a, b) => a.stampUtc - b.stampUtc || a.n - b.n).at(-1);
  }
}
