/**
 * Folds one event into the state (SPEC R1). Pure and total: an event that means nothing to this
 * version leaves the state as it is but for the sequence number. Facts are merged by when they
 * were observed (registers.ts), so their order of arrival does not matter.
 */
import { ownValue } from "../plan/own-key.ts";
import type { UtcMs } from "../time/instants.ts";
import { makesSafe } from "./calls.ts";
import { contactsMoved } from "./effective-contacts.ts";
import type { RigReported, SiteEvent } from "./events.ts";
import { addFilterWord } from "./filter-state.ts";
import { newer, type Register, type Stamp } from "./registers.ts";
import {
  type CueMark,
  NO_RECORD,
  newRun,
  type RigRecord,
  type RunRecord,
  type SiteState,
  UNPLANNED_RUN,
} from "./state.ts";

/** Ended practice runs kept in the state for facts that arrive late; the log keeps all. */
const KEPT_PRACTICES = 3;
const KEPT_MESSAGES = 20;

export function evolve(before: SiteState, event: SiteEvent): SiteState {
  const state: SiteState = { ...before, seq: event.seq };
  switch (event.type) {
    case "planSaved": {
      const { plan, circumstances, placeChanged } = event.payload;
      const realRunId = plan.eclipse ? `real-${plan.eclipse}` : UNPLANNED_RUN;
      // The same place with other times (the limb, say): as good as a shift (S5).
      const revised =
        !placeChanged && before.circumstances !== null && contactsMoved(before.circumstances, circumstances);
      const planned = {
        ...state,
        plan,
        circumstances,
        placeChangedUtcMs: placeChanged ? event.loggedUtcMs : state.placeChangedUtcMs,
        realRunId,
        runs: state.runs[realRunId] ? state.runs : { ...state.runs, [realRunId]: newRun(realRunId, "real") },
      };
      // A call was made of the sky over the place before (S6).
      if (placeChanged) return withRun(planned, realRunId, (run) => madeSafe(run, event.loggedUtcMs));
      if (!revised) return planned;
      return withRun(planned, realRunId, (run) => ({ ...run, revisedUtcMs: event.loggedUtcMs }));
    }
    case "practiceStarted": {
      const { runId, startedUtcMs } = event.payload;
      return {
        ...state,
        practice: event.payload,
        runs: { ...dropOldPractices(state.runs), [runId]: newRun(runId, "practice", startedUtcMs) },
      };
    }
    case "practiceEnded":
      return {
        ...withRun(state, event.payload.runId, (run) => ({ ...run, ended: true })),
        practice: state.practice?.runId === event.payload.runId ? null : state.practice,
      };
    case "rigReported":
      return withRun(state, event.runId, (run) => ({
        ...run,
        rigs: {
          ...run.rigs,
          [event.payload.rigId]: reported(
            ownValue(run.rigs, event.payload.rigId) ?? NO_RECORD,
            event.payload,
            {
              observedUtcMs: event.observedUtcMs,
              deviceId: event.deviceId ?? event.actor,
              deviceSeq: event.deviceSeq ?? event.seq,
              by: event.actor,
            },
          ),
        },
      }));
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
        messages: [...state.messages, { ...event.payload, sentUtcMs: event.loggedUtcMs }].slice(
          -KEPT_MESSAGES,
        ),
      };
    default:
      return state;
  }
}

/** S6: a standing call of totality is over for good. */
function madeSafe(run: RunRecord, atUtcMs: UtcMs): RunRecord {
  return {
    ...run,
    madeSafeUtcMs: atUtcMs,
    calls: run.calls.map((call) => (call.call === "totality" ? { ...call, ended: true } : call)),
  };
}

type By = Stamp & { by: string };

function reported(record: RigRecord, report: RigReported, by: By): RigRecord {
  const next: { -readonly [K in keyof RigRecord]: RigRecord[K] } = { ...record };
  const set = <K extends Plain>(key: K): void => {
    const value = report[key];
    if (value === undefined) return;
    (next as Record<Plain, unknown>)[key] = newer(
      record[key] as Register<unknown> | undefined,
      { value, ...by } as Register<unknown>,
    );
  };
  for (const key of PLAIN) set(key);
  if (report.filter)
    next.filter = addFilterWord(record.filter, { value: report.filter, ...by }, report.looked ?? false);
  for (const [id, value] of Object.entries(report.checks ?? {}))
    next.checks = { ...next.checks, [id]: newer(ownValue(next.checks, id), { value, ...by }) };
  const mark = (id: string | undefined, value: CueMark): void => {
    if (id) next.cues = { ...next.cues, [id]: newer(ownValue(next.cues, id), { value, ...by }) };
  };
  mark(report.cueDone, "done");
  mark(report.cueSkipped, "skipped");
  mark(report.cueReopened, "open");
  if (record.lastUtcMs === null || by.observedUtcMs > record.lastUtcMs) next.lastUtcMs = by.observedUtcMs;
  return next;
}

const PLAIN = [
  "cardFreeGB",
  "batteryPct",
  "tracking",
  "focused",
  "recording",
  "sky",
  "help",
  "sawTotality",
  "practiceSafe",
  "armed",
] as const;
type Plain = (typeof PLAIN)[number];

function withRun(state: SiteState, runId: string, change: (run: RunRecord) => RunRecord): SiteState {
  const run = ownValue(state.runs, runId);
  if (!run) return state;
  return { ...state, runs: { ...state.runs, [runId]: change(run) } };
}

function dropOldPractices(runs: SiteState["runs"]): SiteState["runs"] {
  const old = Object.values(runs).filter((run) => run.kind === "practice");
  const dropped = new Set(old.slice(0, Math.max(0, old.length - KEPT_PRACTICES)).map((run) => run.runId));
  if (dropped.size === 0) return runs;
  return Object.fromEntries(Object.entries(runs).filter(([id]) => !dropped.has(id)));
}
