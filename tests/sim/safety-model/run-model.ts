/**
 * Runs one sequence: time goes on from look to look, acts happen in between, and at every look all
 * observers are put to the oracle. Gives the first finding of each code. Also makes a failing
 * sequence smaller, by leaving out what it fails without.
 */
import { boardUnfilters, type PhoneShows } from "./adaptor.ts";
import type { Sequence } from "./generate.ts";
import { Obedience } from "./obedience.ts";
import {
  checkOpen,
  checkWords,
  type Finding,
  orderNow,
  ordersStanding,
  whyBoardNotOff,
  whyNoCall,
} from "./oracle.ts";
import { type Act, isOfPeople, type Step } from "./steps.ts";
import { World } from "./world.ts";

const S = 1000;
/** Orders after which no unfiltering word may stand that did not before (S6). */
const NEVER_UNFILTER = new Set<Act["do"]>(["takeBack", "release", "endPractice", "shift", "move", "nudge"]);

export interface Outcome {
  findings: Map<string, Finding & { atS: number }>;
  looks: number;
  met: Met;
}

/** What a sequence has met with, so that "nothing found" is seen not to be "nothing happened". */
export interface Met {
  /** Looks with "take the filter off" as the headline, with "look up", with "by eye" as the way out. */
  filterOff: number;
  lookUp: number;
  asksTotality: number;
  /** Looks at the board while it says "glasses off". */
  glassesOff: number;
  /** Rigs seen open at a look, and the looks at which filter-on was the headline of one that is. */
  open: number;
  filterOnShown: number;
  /** Calls of totality that were taken, and all orders that were. */
  totality: number;
  orders: number;
}

export const NOTHING_MET: Met = {
  filterOff: 0,
  lookUp: 0,
  asksTotality: 0,
  glassesOff: 0,
  open: 0,
  filterOnShown: 0,
  totality: 0,
  orders: 0,
};

export function addMet(sum: Met, more: Met): Met {
  const keys = Object.keys(NOTHING_MET) as (keyof Met)[];
  return Object.fromEntries(keys.map((key) => [key, sum[key] + more[key]])) as unknown as Met;
}

export function runSequence({ world: setUp, steps }: Sequence): Outcome {
  const world = new World(setUp);
  const findings: Outcome["findings"] = new Map();
  const atS = () => Math.round((world.now - world.baseMs) / 100) / 10;
  const report = (code: string, detail: string) => {
    if (!findings.has(code)) findings.set(code, { code, detail, atS: atS() });
  };
  const obedience = setUp.obey ? new Obedience(world, setUp.obey, report) : null;
  let looks = 0;
  const met = { ...NOTHING_MET };
  const seeAll = () => {
    looks++;
    look(world, report, met);
  };
  let next = 0;
  const lengthS = world.truth.lengthS || 60;
  for (const at of lookTimes(lengthS, steps, obedience?.timesS() ?? [])) {
    world.now = world.baseMs + at * S;
    world.sync();
    obedience?.go();
    seeAll();
    while (next < steps.length && (steps[next] as Step).atS <= at) {
      const step = steps[next++] as Step;
      if (obedience && isOfPeople(step)) continue;
      acted(world, step, report);
      seeAll();
    }
  }
  met.orders = world.history.orders.length - 1;
  met.totality = world.history.orders.filter(({ kind }) => kind === "totality").length;
  return { findings, looks, met };
}

function acted(world: World, act: Act, report: (code: string, detail: string) => void): void {
  const watched = NEVER_UNFILTER.has(act.do);
  const before = watched ? orders(world, ordersStanding) : null;
  const heldCall = act.do === "call" && act.call === "totality";
  const why = heldCall ? whyNoCall(world.knows(world.observeHub())) : null;
  const calls = world.history.orders.length;
  world.act(act);
  if (why && world.history.orders.length > calls) report(`O9 totality was taken: ${why}`, "");
  if (!before) return;
  for (const word of orders(world, orderNow))
    if (!before.has(word)) report(`O5 ${act.do} unfilters: ${word.replace(/^.*\//, "")}`, word);
}

/** What stands as an order to unfilter, everywhere; of a phone, as `of` has it. */
function orders(world: World, of: (shows: PhoneShows) => string[]): Set<string> {
  const all: string[] = [];
  for (const phone of world.phones) {
    const shows = world.shows(phone);
    if (shows) all.push(...of(shows).map((word) => `${phone.deviceId}/${word}`));
  }
  const { snapshot, linked } = world.board;
  if (boardUnfilters(snapshot, world.boardNow, world.boardClock(), !linked)) all.push("board/glasses-off");
  return new Set(all);
}

function look(world: World, report: (code: string, detail: string) => void, met: Met): void {
  const { history, rigs } = world;
  const hub = world.knows(world.observeHub());
  const open = rigs.filter((rig) => rig.filtered && history.filter(rig.id, hub) === "off");
  if (open.length > 0) {
    const cues = world.hub.view(world.hubNow, world.clockAtHub(), world.presence());
    for (const rig of open) checkOpen(history, hub, rig, cues, null, report);
  }

  const { board } = world;
  const off = boardUnfilters(board.snapshot, world.boardNow, world.boardClock(), !board.linked);
  if (off) {
    met.glassesOff++;
    const why = whyBoardNotOff(world.knows(world.observeBoard()), !board.linked);
    if (why) report(`O3 board says glasses off: ${why}`, "");
    const { c3, c2 } = world.truth;
    const { calledAt, practice } = hub;
    // By the true sky, where the call was good and the plan's place is the true one as far as it says.
    const moved = history.orders.some((order) => order.kind === "place" && order.moved);
    if (!practice && !moved && calledAt !== null && c2 !== null && c3 !== null && board.linked) {
      const trueCall = calledAt - world.hubClock.errMs;
      const same = history.orders.some(
        ({ kind, atRun, trueMs }) =>
          kind === "totality" && atRun === calledAt && Math.abs(trueMs - trueCall) < 1,
      );
      if (same && Math.abs(trueCall - c2) <= 5 * S && world.now > c3 - 14 * S)
        report("O3 board says glasses off after the true C3−14 s, called within 5 s", "");
    }
  }
  for (const phone of world.phones) {
    const shows = world.shows(phone);
    if (!shows) continue;
    const knows = world.knows(world.observePhone(phone));
    const held = phone.rigs.flatMap((i) => world.rigs[i] ?? []);
    checkWords(history, knows, held, shows, report);
    for (const rig of held) checkOpen(history, knows, rig, shows.cues, shows, report);
    const { instruction } = shows;
    if (shows.due && instruction?.unfilters === "filter-off") met.filterOff++;
    if (shows.due && instruction?.unfilters === "look-up") met.lookUp++;
    if (shows.button.kind === "totality") met.asksTotality++;
    const bare = held.filter((rig) => rig.filtered && history.filter(rig.id, knows) === "off");
    met.open += bare.length;
    if (bare.some(({ id }) => instruction?.rigId === id && instruction.action === "filter-on"))
      met.filterOnShown++;
    if (off && board.linked && phone.linked && shows.due && instruction?.action === "glasses-on")
      if (knows.t > instruction.dueMs + 2 * S)
        report("O3 board says glasses off while a rig says glasses on", instruction.rigId);
  }
}

/** Seconds at which everybody is looked at: closely around both contacts, now and then otherwise. */
function lookTimes(lengthS: number, steps: readonly Step[], more: readonly number[]): number[] {
  const times = new Set<number>([...steps.map(({ atS }) => atS), ...more]);
  for (let at = -98; at <= lengthS + 60; ) {
    times.add(at);
    const close = (at > -35 && at < 20) || (at > lengthS - 45 && at < lengthS + 20);
    at += close ? 7 : 20;
  }
  return [...times].sort((a, b) => a - b);
}

/** The same failure with as little as it needs. */
export function shrink(sequence: Sequence, code: string, tries = 400): Sequence {
  let best = sequence;
  let left = tries;
  const fails = (candidate: Sequence): boolean => {
    if (left-- <= 0) return false;
    try {
      return runSequence(candidate).findings.has(code);
    } catch {
      return false;
    }
  };
  for (let size = Math.ceil(best.steps.length / 2); size >= 1; size = size === 1 ? 0 : Math.ceil(size / 2)) {
    for (let from = 0; from < best.steps.length; ) {
      const candidate = { ...best, steps: best.steps.filter((_, i) => i < from || i >= from + size) };
      if (fails(candidate)) best = candidate;
      else from += size;
    }
  }
  for (const simpler of simplerWorlds(best)) {
    const candidate = simpler(best);
    if (candidate && fails(candidate)) best = candidate;
  }
  return best;
}

type Simpler = (sequence: Sequence) => Sequence | null;

function simplerWorlds({ world }: Sequence): Simpler[] {
  const set =
    (change: Partial<Sequence["world"]>): Simpler =>
    (one) => ({ ...one, world: { ...one.world, ...change } });
  return [
    set({ hub: { errMs: 0, boundMs: 20, apartMs: 0, disputed: false, stepped: false } }),
    set({ northM: 0, eastM: 0, placeBoundM: 50 }),
    set({ northM: 0, eastM: 0 }),
    set({ confirmed: true }),
    ...world.phones.map(
      (_, last): Simpler =>
        (one) => {
          // The last phones may go where no step needs them.
          const phones = one.world.phones.slice(0, world.phones.length - 1 - last);
          const needed = one.steps.some((step) => "phone" in step && step.phone >= phones.length);
          return phones.length === 0 || needed ? null : { ...one, world: { ...one.world, phones } };
        },
    ),
    (one) => ({
      ...one,
      world: { ...one.world, phones: one.world.phones.map((phone) => ({ ...phone, errMs: 0, boundMs: 5 })) },
    }),
  ];
}
