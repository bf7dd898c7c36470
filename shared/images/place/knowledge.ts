/**
 * What a run knows that frames are placed by: contacts, the plan, words on filters, cameras' clocks.
 * A fold over logged events, one by one, so that whoever reads a long log can do other work in between.
 *
 * Contacts are predicted, with the limb: a call by eye comes a reaction later than what it calls, and a
 * shift that a lead made for people's sake moves no shadow. Cues are where calls and shifts put them.
 */
import { ownValue } from "../../fields/own-key.ts";
import type { Rig } from "../../plan/model/plan.ts";
import { type FilterChange, filterChanges } from "../../review/filter-history.ts";
import { inOrder } from "../../review/scores.ts";
import type { CueInstance } from "../../run/cues/cue-timeline.ts";
import { cuesInRun } from "../../run/cues/cues-in-run.ts";
import { contactsOf, type EffectiveContacts } from "../../run/effective-contacts.ts";
import type { SiteEvent } from "../../run/events.ts";
import { evolve } from "../../run/evolve.ts";
import type { FilterState } from "../../run/facts/filter-state.ts";
import type { Reported } from "../../run/facts/reported.ts";
import { runTime } from "../../run/run-time.ts";
import { EMPTY_STATE, type SiteState } from "../../run/state.ts";
import { utcMs } from "../../time/instants.ts";

export interface RigKnowledge {
  rig: Rig;
  cues: readonly CueInstance[];
  /** By time; before the first nobody had said anything. */
  filters: readonly FilterChange[];
}

export interface Knowledge {
  runId: string;
  state: SiteState;
  contacts: EffectiveContacts;
  rigs: ReadonlyMap<string, RigKnowledge>;
  /** Run time of a UTC instant: the same in a real run. */
  runMsAt(utc: number): number;
}

/** What a reader of a long log is to hand over of its reports. */
export const READ = ["filter"] as const;

export class KnowledgeFold {
  private state: SiteState = EMPTY_STATE;
  private practice: SiteState["practice"] = null;
  private readonly reports: Reported[] = [];

  /** @param runId null for the real run as it is at the end. */
  constructor(private readonly runId: string | null = null) {}

  /** In order of seq: all events, or at least those of the run that say what is READ and all that are no reports. */
  take(event: SiteEvent): void {
    if (event.type === "rigReported") {
      if (event.payload.filter !== undefined && (this.runId === null || event.runId === this.runId))
        this.reports.push(event);
      return;
    }
    if (event.type === "practiceStarted" && event.payload.runId === this.runId) this.practice = event.payload;
    this.state = evolve(this.state, event);
  }

  /** Null when there is no such run. */
  knowledge(): Knowledge | null {
    const { state, practice } = this;
    const runId = this.runId ?? state.realRunId;
    const run = ownValue(state.runs, runId);
    if (!run) return null;
    const contacts = contactsOf(state, run);
    const reports = inOrder(this.reports.filter((event) => event.runId === runId));
    const rigs = state.plan.rigs.map((rig): [string, RigKnowledge] => [
      rig.id,
      {
        rig,
        cues: cuesInRun(rig, run, contacts),
        filters: filtersOf(rig, reports),
      },
    ]);
    return {
      runId,
      state,
      contacts,
      rigs: new Map(rigs),
      runMsAt: (utc) => runTime(practice, utcMs(utc)),
    };
  }
}

function filtersOf({ id, filter }: Rig, reports: readonly Reported[]): FilterChange[] {
  if (filter === "none by design") return [{ fromUtcMs: Number.NEGATIVE_INFINITY, state: filter }];
  return filterChanges(reports.filter(({ payload }) => payload.rigId === id));
}

/** What was known of a rig's filter at an instant, and whether it is the same all over a bound around it. */
export function filterAt(
  changes: readonly FilterChange[],
  utc: number,
  boundMs: number,
): { state: FilterState; sure: boolean } {
  const at = (when: number): FilterState =>
    changes.findLast(({ fromUtcMs }) => fromUtcMs <= when)?.state ?? "unknown";
  const touched = changes.some(({ fromUtcMs }) => Math.abs(fromUtcMs - utc) <= boundMs);
  return { state: at(utc), sure: !touched };
}
