/**
 * A process full of visitors, for the bench of the crowd: each is the very client that a board's page
 * has, on a clock of its own, and what it would be told is judged every second by the view that the page
 * draws. A process of its own, since thousands of phones in one process cost it more than they cost what
 * serves them: nobody who measures the hub must wait behind them.
 *
 * Clocks of phones (common practice, no source): quartz within 50 ppm; nine of ten are set by their network
 * to within 50 ms, the others are off by seconds or hours, before or behind.
 */
import { closeSync, openSync, readSync } from "node:fs";
import { boardView, glassesOnAfter } from "../../console/board/board-view.ts";
import { drawnBoundMs } from "../../console/board/use-board-view.ts";
import { seeded } from "../../hub/people/seeded.ts";
import { Crowd } from "../../hub/people/visitor.ts";
import type { BoardFetcher } from "../../shared/link/board-fetcher.ts";
import { monoMs, type RunMs, utcMs } from "../../shared/time/instants.ts";

const MOST_PPM = 50;
const SET_WELL_MS = 50;
const CUT_MS = 1;
const SLICES = 10;
const SLICE_MS = 100;
/** How sure a board is of its time is looked at for so long before glasses go on, ms. */
const LOOK_BEFORE_MS = 8000;
/** The time of this world is read from its file so often, ms: thousands of clocks ask for it. */
const READ_MS = 10;

/** When a board may say that glasses are off, true UTC ms; `off`: how it says so. */
export interface Rule {
  fromMs: number;
  untilMs: number;
  /** How far ahead of that the hub's own clock is, ms. */
  hubAheadMs: number;
  off: "off" | "offPractice";
}

export type VisitorsAsked =
  | { type: "come"; origin: string; key: string; visitors: number; overMs: number; seed: string }
  | { type: "rule"; rule: Rule }
  | { type: "tell" };

export interface VisitorsTold {
  looks: number;
  /** Looks at boards that said off outside the rule; and that said real glasses off in a practice. */
  wrong: number;
  /** Share that is told off now, by how their own clock is set. */
  offNow: { right: number; aheadHours: number };
  /** How much earlier than the hub each board puts glasses on under this rule, ms, sorted. */
  early: { right: number[]; behind: number[]; seconds: number[] };
  traffic: Crowd["traffic"];
  atMs: number;
}

interface Phone {
  visitor: BoardFetcher;
  group: "right" | "behind" | "seconds" | "aheadHours";
  onAfterCallMs: RunMs | null;
  told: "on" | "off";
  earlyMs: number | undefined;
}

/** As moved-clock.mjs has it, whose file this is: what is added to the wall clock, and to both. */
const said = new Float64Array(4);
const file = openSync(process.env.TEST_CLOCK_FILE ?? "", "r");
const readTime = () => readSync(file, new Uint8Array(said.buffer), 0, said.byteLength, 0);
readTime();
setInterval(readTime, READ_MS);
const monoNow = () => performance.now() + (said[1] ?? 0);
/** As hub and relays read it: cut off to whole ms. */
const wallNow = () => Date.now() + (said[0] ?? 0) + (said[1] ?? 0);

const crowd = new Crowd();
const phones: Phone[] = [];
let rule: Rule = { fromMs: Infinity, untilMs: -Infinity, hubAheadMs: 0, off: "off" };
let looks = 0;
let wrong = 0;

function wrongMs(chance: () => number): [number, Phone["group"]] {
  const kind = chance();
  const sign = 2 * chance() - 1;
  if (kind < 0.9) return [sign * SET_WELL_MS, "right"];
  if (kind < 0.94) return [sign * 3000, "seconds"];
  const hoursMs = (0.1 + 5 * Math.abs(sign)) * 3_600_000;
  return kind < 0.97 ? [-hoursMs, "behind"] : [hoursMs, "aheadHours"];
}

function come(origin: string, key: string, seed: string): void {
  const chance = seeded(seed);
  const rate = 1 + (2 * chance() - 1) * MOST_PPM * 1e-6;
  const [offMs, group] = wrongMs(chance);
  const sinceMs = wallNow();
  const begunMs = 1e6 * chance();
  const clock = {
    mono: () => monoMs((monoNow() + begunMs) * rate),
    wall: () => utcMs(sinceMs + (wallNow() - sinceMs) * rate + offMs),
  };
  const visitor = crowd.add({ origin: () => origin, key, clock, chance });
  phones.push({ visitor, group, onAfterCallMs: null, told: "on", earlyMs: undefined });
}

/** What this phone's page says now, as use-board-view.ts asks; noted against the rule. */
function judge(phone: Phone): void {
  const { visitor } = phone;
  // The machine may take the processor away between two looks at clocks: only what is certain counts.
  const beforeMs = wallNow();
  const { board, heard, cover } = visitor.view();
  const reading = visitor.reading();
  const { utcMs: at } = reading;
  const boundMs = drawnBoundMs(reading.boundMs);
  const afterMs = wallNow();
  looks++;
  phone.told = "on";
  if (!board) return;
  const known = { boundMs, linked: heard, cover, onAfterCallMs: phone.onAfterCallMs };
  const view = boardView(board, at, known);
  phone.onAfterCallMs = glassesOnAfter(view, board, phone.onAfterCallMs);
  if (view.safety === rule.off) {
    phone.told = "off";
    if (afterMs < rule.fromMs || beforeMs > rule.untilMs) wrong++;
  } else if (view.glasses === "off") wrong++;
  if (beforeMs > rule.untilMs - LOOK_BEFORE_MS && afterMs < rule.untilMs && afterMs - beforeMs < 2)
    phone.earlyMs = at + boundMs - (afterMs + CUT_MS) - rule.hubAheadMs;
}

function tell(): VisitorsTold {
  const early = (group: Phone["group"]) =>
    phones
      .flatMap((one) => (one.group === group && one.earlyMs !== undefined ? [one.earlyMs] : []))
      .sort((a, b) => a - b);
  const off = (group: Phone["group"]) => {
    const such = phones.filter((one) => one.group === group);
    return such.filter(({ told }) => told === "off").length / Math.max(1, such.length);
  };
  return {
    looks,
    wrong,
    offNow: { right: off("right"), aheadHours: off("aheadHours") },
    early: { right: early("right"), behind: early("behind"), seconds: early("seconds") },
    traffic: crowd.traffic,
    atMs: performance.now(),
  };
}

let slice = 0;
setInterval(() => {
  slice = (slice + 1) % SLICES;
  for (let n = slice; n < phones.length; n += SLICES) judge(phones[n] as Phone);
}, SLICE_MS);

process.on("message", (asked: VisitorsAsked) => {
  if (asked.type === "come") {
    const { origin, key, visitors, overMs, seed } = asked;
    const chance = seeded(seed);
    for (let n = 0; n < visitors; n++) setTimeout(() => come(origin, key, `${seed} ${n}`), chance() * overMs);
  } else if (asked.type === "rule") {
    rule = asked.rule;
    for (const phone of phones) phone.earlyMs = undefined;
  } else process.send?.(tell());
});
process.on("disconnect", () => {
  closeSync(file);
  process.exit(0);
});
