/**
 * Plays one practice run of a seed with the hub's own rules, looking as often as the hub's alert desk
 * does, and holds what came of it against the script: every danger is found within two seconds of
 * when the hub could know, nothing is alerted that has no cause in the script, no cause brings more than
 * five alerts, and every score is the one that was put in.
 *
 * The oracle's windows are those of S3 and S4 as they are written, not the code's.
 */
import type { Rig } from "../../../shared/plan/model/plan.ts";
import { RunReviewer } from "../../../shared/review/review.ts";
import { type Alert, alertsAt, trackAlerts } from "../../../shared/run/alerts/alerts.ts";
import { draftOf } from "../../../shared/run/orders/decision.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { linkedTo, SiteWorld } from "../../shared/run/site-world.ts";
import { type RigScript, type RunScript, rigsOf, scriptOf } from "./script-of-run.ts";

/** As hub/site/alert-desk.ts: at every change, and each half second. */
const LOOK_MS = 500;
const FOUND_WITHIN_MS = 2000;
const MOST_OF_ONE = 5;
/** Under the real Sun at noon: every rig is said to be capped or to point away, so that filters come off (S8). */
const START = Date.UTC(2027, 6, 25, 10);

export interface Played {
  findings: string[];
  /** How many of each there were to find. */
  dangers: number;
  slowestDangerMs: number;
  alerts: number;
  mostOfOneCause: number;
  scores: number;
}

/** What the hub has been told of a rig by now, in the script's own words. */
interface Told {
  filter: "on" | "off" | null;
  doneOff: boolean;
  cardGB: number | null;
  help: boolean;
  linked: boolean;
}

export function play(seed: string): Played {
  const world = SiteWorld.planned({ rigs: rigsOf(seed) });
  const { c2, c3 } = world.predicted;
  const totalityS = (c3 - c2) / 1000;
  const script = scriptOf(seed, world.state.plan.rigs, totalityS);
  const { rate, fromS, untilS } = script;
  const at = (runS: number) => START + ((runS - fromS) * 1000) / rate;
  for (const { rigId } of script.rigs) world.joined(rigId, START - 60_000);
  const programme = {
    ...{ until: null, played: [], faults: [], repeats: 1, pauseS: 60, part: 1, id: null },
    safe: script.rigs.map(({ rigId }) => rigId),
  };
  const begun = world.order({ type: "startPractice", anchor: "C2", offsetS: fromS, rate, programme }, START);
  if ("refusal" in begun) throw new Error(begun.refusal.message);
  const runId = world.state.practice?.runId ?? "";
  const played: Played = {
    findings: [],
    dangers: 0,
    slowestDangerMs: 0,
    alerts: 0,
    mostOfOneCause: 0,
    scores: 0,
  };
  const find = (what: string) => void played.findings.push(`${seed}: ${what}`);
  const deliveries = deliveriesOf(script, at);
  const told = new Map(script.rigs.map(({ rigId }) => [rigId, nothingTold()]));
  const before = new Map<string, Told>();
  const raisedOf = new Map<string, number>();
  const open = new Map<string, { sinceMs: number; found: boolean }>();
  let alerts: readonly Alert[] = [];
  let next = 0;
  const end = at(untilS);
  for (let now = START; now < end; now += LOOK_MS) {
    for (; next < deliveries.length && (deliveries[next]?.arrivesMs ?? 0) <= now; next++) {
      const { rigId, observedMs, arrivesMs, report } = deliveries[next] as Delivery;
      world.report(rigId, report, { at: observedMs, arrives: arrivesMs, runId });
      hear(told.get(rigId) as Told, report);
    }
    for (const rig of script.rigs) {
      const mine = told.get(rig.rigId) as Told;
      mine.linked = !isAway(rig, now, at);
      if (mine.help && rig.help && now >= at(rig.help.answeredS)) {
        world.order({ type: "answerHelp", rigId: rig.rigId }, now);
        mine.help = false;
      }
    }
    const linked = script.rigs.filter((rig) => !isAway(rig, now, at)).map(({ rigId }) => rigId);
    const standing = alertsAt(world.state, linkedTo(...linked), world.clock, utcMs(now));
    const change = trackAlerts(alerts, standing, utcMs(now));
    alerts = change.alerts;
    for (const alert of change.raised)
      world.take([draftOf(world.context(now), runId, "alertRaised", alert)], now);
    for (const alert of change.cleared)
      world.take([draftOf(world.context(now), runId, "alertCleared", alert)], now);
    played.alerts += change.raised.length;
    const runS = fromS + ((now - START) / 1000) * rate;
    for (const { id, cause, rigId } of change.raised) {
      raisedOf.set(id, (raisedOf.get(id) ?? 0) + 1);
      const rig = world.state.plan.rigs.find((one) => one.id === rigId);
      const known = rigId === null ? undefined : told.get(rigId);
      const was = (rigId === null ? undefined : before.get(rigId)) ?? known;
      const why = rig && known && was && hasCause(cause, rig, [known, was], runS, totalityS);
      if (!why) find(`${id} at C2${runS < 0 ? "" : "+"}${runS.toFixed(1)} s has no cause`);
    }
    for (const rig of world.state.plan.rigs) watchDanger(rig, told.get(rig.id) as Told, now, runS);
    for (const [rigId, mine] of told) before.set(rigId, { ...mine });
  }
  for (; next < deliveries.length; next++) {
    const { rigId, observedMs, report } = deliveries[next] as Delivery;
    world.report(rigId, report, { at: observedMs, arrives: end, runId });
  }
  world.order({ type: "endPractice" }, end);
  for (const [id, count] of raisedOf) if (count > MOST_OF_ONE) find(`${id} was raised ${count} times`);
  played.mostOfOneCause = Math.max(0, ...raisedOf.values());
  judgeScores(world, runId, script, played, find);
  return played;

  function watchDanger(rig: Rig, mine: Told, now: number, runS: number): void {
    const danger = mine.filter === "off" && isExposed(rig, runS, totalityS);
    if (!danger) {
      const one = open.get(rig.id);
      if (one && !one.found && now - one.sinceMs > FOUND_WITHIN_MS)
        find(`the danger at ${rig.id} was never found`);
      open.delete(rig.id);
      return;
    }
    const one = open.get(rig.id) ?? { sinceMs: now, found: false };
    if (!open.has(rig.id)) played.dangers++;
    open.set(rig.id, one);
    if (one.found) return;
    one.found = alerts.some(({ id, priority }) => id === `exposed:${rig.id}` && priority === "danger");
    const tookMs = now - one.sinceMs;
    if (one.found) played.slowestDangerMs = Math.max(played.slowestDangerMs, tookMs);
    else if (tookMs > FOUND_WITHIN_MS && tookMs <= FOUND_WITHIN_MS + LOOK_MS)
      find(`the danger at ${rig.id} at C2+${runS.toFixed(1)} s is not found after ${tookMs} ms`);
  }
}

interface Delivery {
  rigId: string;
  observedMs: number;
  arrivesMs: number;
  report: RigScript["said"][number]["report"];
}

function deliveriesOf({ rigs, delayMs }: RunScript, at: (runS: number) => number): Delivery[] {
  const all = rigs.flatMap(({ rigId, said, away }) => {
    let last = 0;
    return said.map(({ atS, report }) => {
      const observedMs = at(atS);
      const sentMs = away && atS >= away[0] && atS < away[1] ? at(away[1]) : observedMs;
      // A phone sends in order.
      last = Math.max(last, sentMs + delayMs());
      return { rigId, observedMs, arrivesMs: last, report };
    });
  });
  return all.sort((a, b) => a.arrivesMs - b.arrivesMs);
}

function nothingTold(): Told {
  return {
    filter: null,
    doneOff: false,
    cardGB: null,
    help: false,
    linked: true,
  };
}

function hear(mine: Told, report: Delivery["report"]): void {
  const word =
    report.cueDone === "filter-off" ? "off" : report.cueDone === "filter-on" ? "on" : report.filter;
  if (word === "on" || word === "off") mine.filter = word;
  if (report.cueDone === "filter-off") mine.doneOff = true;
  mine.cardGB = report.cardFreeGB ?? mine.cardGB;
  mine.help ||= report.help === true;
}

function isAway({ away }: RigScript, now: number, at: (runS: number) => number): boolean {
  return away !== null && now >= at(away[0]) && now < at(away[1]);
}

/** S3, S4: outside these seconds from C2 and C3 an open filter is a danger. */
function isExposed(rig: Rig, runS: number, totalityS: number): boolean {
  const long = rig.focalLengthMm ?? Number.POSITIVE_INFINITY;
  const [fromS, byS] = rig.lookedThrough ? [10, -10] : [long <= 100 ? -45 : long <= 500 ? -30 : -20, 15];
  return runS < fromS || runS >= totalityS + byS;
}

/** Whether the script has given this alert a cause, by what the hub was told at this look or the one before. */
function hasCause(cause: string, rig: Rig, looks: readonly Told[], runS: number, totalityS: number): boolean {
  const cue = (action: string) => rig.cues.find((one) => one.action === action);
  const passed = (action: string) => {
    const one = cue(action);
    return one !== undefined && runS >= one.offsetS + one.latestS + (one.anchor === "C3" ? totalityS : 0);
  };
  return looks.some((mine) => {
    switch (cause) {
      case "exposed":
        return mine.filter === "off" && isExposed(rig, runS, totalityS);
      case "filter-unknown":
        return mine.filter === null;
      case "filter-late":
        // S9: an open filter in sunlight has its filter-on cue now, whenever the plan has it.
        return mine.filter === "off" && (passed("filter-on") || isExposed(rig, runS, totalityS));
      case "still-filtered":
        return mine.filter === "on" && !mine.doneOff && passed("filter-off");
      case "card-full":
        return mine.cardGB !== null && mine.cardGB < 0.5;
      case "help":
        return mine.help;
      case "link-lost":
        return !mine.linked;
      default:
        return false;
    }
  });
}

function judgeScores(
  world: SiteWorld,
  runId: string,
  { rigs }: RunScript,
  played: Played,
  find: (what: string) => void,
): void {
  const reviewer = new RunReviewer(runId);
  for (const event of world.log) reviewer.take(event);
  const review = reviewer.review(null);
  if (!review) {
    find("there is no review");
    return;
  }
  for (const { rigId, scores } of rigs) {
    for (const [cueId, score] of scores) {
      played.scores++;
      const judged = review.cues.find((cue) => cue.rigId === rigId && cue.cueId === cueId);
      if (judged?.score !== score)
        find(`${cueId} of ${rigId} is ${judged?.score ?? "not judged"}, not ${score}`);
    }
  }
}
