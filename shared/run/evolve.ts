/**
 * Folds one event into the state, or many (SPEC R1). Pure and total: an event that means nothing to this
 * version leaves the state as it is but for the sequence number. Facts are merged by when they
 * were observed (registers.ts), so their order of arrival does not matter.
 *
 * `fold` gives what `evolve` gives one by one, but copies each part of the state once for the whole
 * batch and not once for each event: a million reports replay in a fraction of the time.
 */
import { ownValue } from "../fields/own-key.ts";
import { earliest, later, type UtcMs } from "../time/instants.ts";
import { alertsAfter, alertsAfterPractice } from "./alerts/known-alerts.ts";
import type { Payloads, SiteEvent } from "./events.ts";
import { planned } from "./evolve-plan.ts";
import { takeByName, takeIn } from "./facts/field-registers.ts";
import { addFilterWord, filterVerdict } from "./facts/filter-state.ts";
import { isPlayed } from "./facts/played.ts";
import { newer, type Register } from "./facts/registers.ts";
import { type Reported, registerOf, withFilterOf } from "./facts/reported.ts";
import { makesSafe } from "./orders/calls.ts";
import { madeSafe, withRun } from "./run-record.ts";
import { type CueMark, NO_RECORD, newRun, type RigRecord, type RunRecord, type SiteState } from "./state.ts";

/** Ended practice runs kept in the state for facts that arrive late; the log keeps all. */
const KEPT_PRACTICES = 3;
const KEPT_MESSAGES = 20;
const KEPT_CLOCK_WORDS = 4;

export function evolve(before: SiteState, event: SiteEvent): SiteState {
  return step(before, event, ALWAYS_COPY);
}

/** The state after all of these events; `before` stays as it is. */
export function fold(before: SiteState, events: Iterable<SiteEvent>): SiteState {
  const made = new Set<object>();
  const ownCopy: OwnCopy = (value) => {
    if (made.has(value)) return value;
    const copy = { ...value };
    made.add(copy);
    return copy;
  };
  let state = before;
  for (const event of events) state = step(state, event, ownCopy);
  return state;
}

type Mutable<Value> = { -readonly [Key in keyof Value]: Value[Key] };
/** A copy that may be changed in place: of something this batch made itself, that very thing. */
type OwnCopy = <Value extends object>(value: Value) => Mutable<Value>;
const ALWAYS_COPY: OwnCopy = (value) => ({ ...value });

function step(before: SiteState, event: SiteEvent, ownCopy: OwnCopy): SiteState {
  const state = ownCopy(before);
  state.seq = event.seq;
  switch (event.type) {
    case "planSaved":
    case "sitePlanned":
    case "rigPlanned":
    case "rigRemoved":
    case "rigsOrdered":
      return planned(before, state, event);
    case "variantChosen":
      return withRun(state, event.runId, (run) => ({ ...run, variant: chosen(run.variant, event.payload) }));
    case "practiceStarted": {
      const { runId, startedUtcMs } = event.payload;
      const run = { ...newRun(runId, "practice", startedUtcMs), rigs: saidSafe(event) };
      return {
        ...state,
        practice: event.payload,
        runs: { ...dropOldPractices(state.runs), [runId]: run },
      };
    }
    case "practiceEnded": {
      const { runId } = event.payload;
      const { practice } = before;
      // One that a hub which was off ends later was over at its limit.
      const endedUtcMs =
        practice?.runId === runId ? earliest(event.loggedUtcMs, practice.endsAtUtcMs) : event.loggedUtcMs;
      return {
        ...withRun(state, runId, (run) => ({ ...run, endedUtcMs })),
        practice: state.practice?.runId === runId ? null : state.practice,
        // What was said in it is of nobody's concern in the real run.
        messages: state.messages.filter((message) => message.runId !== runId),
        roll: state.roll?.runId === runId ? null : state.roll,
        alerts: alertsAfterPractice(state.alerts, runId),
      };
    }
    case "practiceFault": {
      const { kind, rigIds, forS, over } = event.payload;
      if (kind !== "clock stepped") return state;
      const untilUtcMs = later(event.loggedUtcMs, over ? 0 : forS * 1000);
      return withRun(state, event.runId, (run) => ({ ...run, stepped: { rigIds, untilUtcMs } }));
    }
    case "rigReported": {
      const known = ownValue(state.runs, event.runId);
      if (!known) return state;
      const { rigId } = event.payload;
      const run = ownCopy(known);
      const rigs: Mutable<RunRecord["rigs"]> = ownCopy(known.rigs);
      rigs[rigId] = reported(ownValue(rigs, rigId) ?? NO_RECORD, event, ownCopy);
      run.rigs = rigs;
      const { messageSeen } = event.payload;
      if (messageSeen) state.messages = seen(state.messages, messageSeen, rigId, event.observedUtcMs);
      const runs: Mutable<SiteState["runs"]> = ownCopy(state.runs);
      runs[event.runId] = run;
      state.runs = runs;
      return state;
    }
    case "helpAnswered":
      return withRun(state, event.runId, (run) => {
        const record = ownValue(run.rigs, event.payload.rigId) ?? NO_RECORD;
        const help: Register<boolean> = {
          value: false,
          observedUtcMs: event.observedUtcMs,
          deviceId: event.actor,
          deviceSeq: event.seq,
          by: event.actor,
        };
        return {
          ...run,
          rigs: { ...run.rigs, [event.payload.rigId]: { ...record, help: newer(record.help, help) } },
        };
      });
    case "called":
      return withRun(state, event.runId, (run) => {
        const before = makesSafe(event.payload.call) ? madeSafe(run, event.loggedUtcMs) : run;
        return { ...before, calls: [...before.calls, { ...event.payload, takenBack: false }] };
      });
    case "callTakenBack":
      return withRun(state, event.runId, (run) => {
        const { callId } = event.payload;
        const safe = run.calls.some((call) => call.callId === callId && makesSafe(call.call));
        return {
          ...run,
          calls: run.calls.map((call) => (call.callId === callId ? { ...call, takenBack: true } : call)),
          unmadeUtcMs: safe ? event.loggedUtcMs : run.unmadeUtcMs,
        };
      });
    case "contactShifted":
      return withRun(state, event.runId, (run) => {
        const { contact, shiftMs } = event.payload;
        // The end of totality moves later: only a fresh call opens for the time gained (S6).
        const later = contact === "c3" && shiftMs > (run.shifts.c3 ?? 0);
        const before = later ? madeSafe(run, event.loggedUtcMs) : run;
        return {
          ...before,
          shifts: { ...run.shifts, [contact]: shiftMs },
          revisedUtcMs: event.loggedUtcMs,
        };
      });
    case "coverOrdered":
      return {
        ...withRun(state, event.runId, (run) => madeSafe(run, event.loggedUtcMs)),
        cover: state.cover ?? { sinceUtcMs: event.loggedUtcMs, by: event.payload.by },
      };
    case "coverReleased":
      // Also where the log never got the cover: pages have obeyed it.
      return {
        ...withRun(state, event.runId, (run) => ({
          ...madeSafe(run, event.loggedUtcMs),
          unmadeUtcMs: event.loggedUtcMs,
        })),
        cover: null,
      };
    case "linkRevoked":
      return {
        ...state,
        generations: { ...state.generations, [event.payload.rigId]: event.payload.generation },
      };
    case "deviceJoined":
      return {
        ...state,
        devices: {
          ...state.devices,
          [event.payload.deviceId]: { ...event.payload, joinedUtcMs: event.loggedUtcMs },
        },
      };
    case "messageSent":
      return {
        ...state,
        messages: [
          ...state.messages,
          { ...event.payload, runId: event.runId, sentUtcMs: event.loggedUtcMs, seenBy: {} },
        ].slice(-KEPT_MESSAGES),
      };
    case "cameraClockNoted": {
      const word = { ...event.payload, notedUtcMs: event.loggedUtcMs };
      return { ...state, cameraClocks: withWord(state.cameraClocks, word) };
    }
    case "contactSeen":
      return { ...state, contactsSeen: withWord(state.contactsSeen, event.payload) };
    case "rollCalled":
      return { ...state, roll: { ...event.payload, runId: event.runId, sinceUtcMs: event.loggedUtcMs } };
    case "alertRaised":
    case "alertCleared":
    case "alertAnswered":
      return { ...state, alerts: alertsAfter(state.alerts, event) };
    default:
      return state;
  }
}

function seen(messages: SiteState["messages"], id: string, rigId: string, at: UtcMs): SiteState["messages"] {
  return messages.map((message) =>
    message.messageId === id
      ? { ...message, seenBy: { ...message.seenBy, [rigId]: earliest(at, message.seenBy[rigId] ?? at) } }
      : message,
  );
}

/** Phones hold this, too: on a camera, or a contact as it saw it, the newest few words are kept; the log has all. */
function withWord<Word extends { rigId: string; camera: string; contact?: string }>(
  known: readonly Word[],
  word: Word,
): readonly Word[] {
  const same = known.filter(
    (one) => one.rigId === word.rigId && one.camera === word.camera && one.contact === word.contact,
  );
  return [...known.filter((one) => !same.includes(one)), ...same.slice(1 - KEPT_CLOCK_WORDS), word];
}

/** S8: the lead's word, before the start, on what is really capped or points away; a phone's later one outdoes it. */
function saidSafe(event: SiteEvent & { type: "practiceStarted" }): RunRecord["rigs"] {
  const practiceSafe: Register<boolean> = {
    value: true,
    observedUtcMs: event.payload.startedUtcMs,
    deviceId: event.actor,
    deviceSeq: event.seq,
    by: event.actor,
  };
  const safe = event.payload.programme?.safe ?? [];
  return Object.fromEntries(safe.map((rigId) => [rigId, { ...NO_RECORD, practiceSafe }]));
}

function reported(before: RigRecord, event: Reported, ownCopy: OwnCopy): RigRecord {
  const report = event.payload;
  const record = ownCopy(before);
  record.filter = withFilterOf(record.filter, event);
  if (report.instrument) {
    const instruments: Record<string, Register<unknown>> = ownCopy(record.instruments);
    takeByName<unknown>(instruments, report, (value) => registerOf(event, value));
    record.instruments = instruments;
    return record;
  }
  takeIn(record, report, (value) => registerOf(event, value));
  if (report.checks) {
    const checks: Mutable<RigRecord["checks"]> = ownCopy(record.checks);
    takeByName<boolean>(checks, report.checks, (value) => registerOf(event, value));
    record.checks = checks;
  }
  if (report.cueDone) mark(record, report.cueDone, "done", event, ownCopy);
  if (report.cueSkipped) mark(record, report.cueSkipped, "skipped", event, ownCopy);
  if (report.cueReopened) mark(record, report.cueReopened, "open", event, ownCopy);
  if (record.lastUtcMs === null || event.observedUtcMs > record.lastUtcMs)
    record.lastUtcMs = event.observedUtcMs;
  return record;
}

function mark(
  record: Mutable<RigRecord>,
  id: string,
  value: CueMark,
  event: Reported,
  ownCopy: OwnCopy,
): void {
  const cues: Mutable<RigRecord["cues"]> = ownCopy(record.cues);
  cues[id] = newer(ownValue(cues, id), registerOf(event, value));
  record.cues = cues;
}

function chosen(
  before: RunRecord["variant"],
  { variant, rigIds }: Payloads["variantChosen"],
): RunRecord["variant"] {
  // Named for the site it holds for every rig, whatever was named for one before.
  if (rigIds === null) return { site: variant, rigs: {} };
  return { ...before, rigs: { ...before.rigs, ...Object.fromEntries(rigIds.map((id) => [id, variant])) } };
}

/** The word that stands of a filter in one that is dropped is carried on: it is asked for until somebody looks (S9). */
function dropOldPractices(runs: SiteState["runs"]): SiteState["runs"] {
  const practices = Object.values(runs).filter((run) => run.kind === "practice");
  const [dropped, oldest] = practices;
  if (!dropped || !oldest || practices.length <= KEPT_PRACTICES) return runs;
  const rigs = { ...oldest.rigs };
  for (const [rigId, { filter }] of Object.entries(dropped.rigs)) {
    const { word } = filterVerdict(filter, isPlayed);
    const record = ownValue(rigs, rigId) ?? NO_RECORD;
    if (word) rigs[rigId] = { ...record, filter: addFilterWord(record.filter, word, false) };
  }
  const { [dropped.runId]: _gone, ...others } = runs;
  return { ...others, [oldest.runId]: { ...oldest, rigs } };
}
