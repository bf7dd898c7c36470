/**
 * Simulated people who carry out the order of hands that was worked out for the plan, and nothing else:
 * each begins a thing when the order says so, or when they have come from the rig before if that is
 * later; it takes the hands-on time of its cue; nobody hurries and nobody skips. Were the order wrong,
 * they would be late.
 */
import type { HandsPlan, OrderedCue } from "../../shared/plan/hands/hands-plan.ts";
import { anchorMs, type EffectiveContacts } from "../../shared/run/effective-contacts.ts";
import { later, type RunMs } from "../../shared/time/instants.ts";

/** One person of the plan, as the schedule has them. */
export interface HandsOrder {
  operator: string;
  rigIds: readonly string[];
  order: readonly OrderedCue[];
}

export interface Work {
  fromMs: RunMs;
  toMs: RunMs;
}

interface Job {
  one: OrderedCue;
  people: string[];
  tool: string | null;
}

export class WorkOfHands {
  private readonly jobs: Job[];
  private readonly bound: ReadonlySet<string>;
  private last: { key: string; done: ReadonlyMap<string, Work> } | undefined;

  /** `rigs`: those that the order was worked out for, and how far it is between them. */
  constructor(
    hands: readonly HandsOrder[],
    private readonly rigs: Pick<HandsPlan, "rigs"> & Required<Pick<HandsPlan, "walkS">>,
  ) {
    const tools = new Map(
      rigs.rigs.flatMap(({ id, cues }) => cues.map((cue) => [`${id}/${cue.id}`, cue.tool])),
    );
    const toolOf = (rigId: string, cueId: string) =>
      tools.get(`${rigId}/${cueId}`)?.trim().toLowerCase() ?? null;
    const jobs = new Map<string, Job>();
    const nameOf = ({ operator, rigIds }: HandsOrder) => (operator === "" ? (rigIds[0] ?? "") : operator);
    for (const person of hands)
      for (const one of person.order) {
        const id = idOf(one.rigId, one.cueId, one.n);
        const known = jobs.get(id);
        if (known) known.people.push(nameOf(person));
        else jobs.set(id, { one, people: [nameOf(person)], tool: toolOf(one.rigId, one.cueId) });
      }
    this.jobs = [...jobs.values()];
    this.bound = new Set(
      hands
        .filter(({ rigIds, order }) => rigIds.length > 1 || order.some((one) => one.with))
        .flatMap(({ rigIds }) => rigIds),
    );
  }

  /** Whether this rig is one of several in a pair of hands, or somebody helps there. */
  binds(rigId: string): boolean {
    return this.bound.has(rigId);
  }

  /** When a cue is worked on; null for what the order leaves out. `id`: of an instance, as "focus.2". */
  at(rigId: string, id: string, contacts: EffectiveContacts): Work | null {
    return this.worked(contacts).get(`${rigId}/${id}`) ?? null;
  }

  /** Everything, one after another, whoever and whatever is needed being where it was last. */
  private worked(contacts: EffectiveContacts): ReadonlyMap<string, Work> {
    const { c1, c2, max, c3, c4 } = contacts;
    const key = [c1, c2, max, c3, c4].join(" ");
    if (this.last?.key === key) return this.last.done;
    const done = new Map<string, Work>();
    const free = new Map<string, { atMs: RunMs; rigId: string }>();
    const wanted = this.jobs.flatMap((job) => {
      const contact = anchorMs(contacts, job.one.anchor);
      return contact === null ? [] : [{ ...job, wantedMs: later(contact, job.one.startS * 1000) }];
    });
    for (const { one, people, tool, wantedMs } of wanted.sort((a, b) => a.wantedMs - b.wantedMs)) {
      const needs = [...people.map((name) => `hands ${name}`), ...(tool === null ? [] : [`tool ${tool}`])];
      let fromMs = wantedMs;
      for (const need of needs) {
        const before = free.get(need);
        if (!before) continue;
        const there = later(before.atMs, this.rigs.walkS(before.rigId, one.rigId) * 1000);
        if (there > fromMs) fromMs = there;
      }
      const toMs = later(fromMs, (one.endS - one.startS) * 1000);
      for (const need of needs) free.set(need, { atMs: toMs, rigId: one.rigId });
      done.set(idOf(one.rigId, one.cueId, one.n), { fromMs, toMs });
    }
    this.last = { key, done };
    return done;
  }
}

/** As instances of a cue are called (shared/run/cues/cue-timeline.ts). */
function idOf(rigId: string, cueId: string, n: number): string {
  return `${rigId}/${cueId}${n === 1 ? "" : `.${n}`}`;
}
