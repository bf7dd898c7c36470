/**
 * What is asked of people's hands around the contacts, and a schedule of it.
 *
 * Times are seconds on one scale of the caller's. A person is at one rig at a time, walks between
 * rigs, may wait, and does one thing at a time without interruption. Where somebody is before the
 * first task is left open: they have had minutes to get there.
 */

export interface Task {
  id: string;
  /** Where it is done: walking times hang on it. */
  rigId: string;
  /** It may begin from then until then. */
  earliestS: number;
  latestS: number;
  /** Its window ends with its being done, not with its being begun: who is slower has to begin earlier. */
  doneInTime?: boolean | undefined;
  /** What the rules would still allow it to begin at, ≤ earliestS; none when it stays as it is. */
  allowedEarliestS?: number | undefined;
  /** How long hands are on it. */
  durationS: number;
  /** Who may do it, by name. One of them does; `people` of them together. */
  who: readonly string[];
  /** 1, or 2 for what two have to do together. */
  people: 1 | 2;
  /** Whose rig it is: one of those who do it is this one. None: whoever may. */
  own?: string | undefined;
  /** A thing that is there once and needed throughout; it is carried from rig to rig at walking pace. */
  tool?: string | undefined;
  /** At one rig things are begun in this order: a burst comes after the filter is off. None: in any. */
  rank?: number | undefined;
  /** Whatever makes things safe has to be done. The others count by their weight, > 0. */
  must: boolean;
  weight: number;
}

export interface HandsProblem {
  tasks: readonly Task[];
  /** Seconds from one rig to another; 0 for the same. */
  walkS: (fromRigId: string, toRigId: string) => number;
}

export interface Placed {
  taskId: string;
  who: readonly string[];
  startS: number;
  endS: number;
}

export interface Schedule {
  /** By start. */
  placed: Placed[];
  /** Tasks that are left undone: only ones that need not be. */
  dropped: string[];
  /** Sum of the weights of what is done. */
  weight: number;
}

export type Solution =
  | { feasible: true; schedule: Schedule; exact: boolean }
  /** Not even what must be done can be; `exact` false: only that none was found. */
  | { feasible: false; exact: boolean };

/** Everybody named by a task, once, in order of their first. */
export function peopleOf(tasks: readonly Task[]): string[] {
  return [...new Set(tasks.flatMap(({ who }) => who))];
}

/** For each task, as bits, those of its rig that may not have been begun before it. */
export function laterAtRig(tasks: readonly Task[]): number[] {
  return tasks.map((task) =>
    tasks.reduce((mask, other, i) => {
      const later = task.rigId === other.rigId && other.rank !== undefined && task.rank !== undefined;
      return later && (other.rank as number) > (task.rank as number) ? mask | (1 << i) : mask;
    }, 0),
  );
}

/** All tasks take so many seconds longer: for "survives being late everywhere". */
export function slower(problem: HandsProblem, byS: number): HandsProblem {
  return {
    ...problem,
    tasks: problem.tasks.map((task) => ({
      ...task,
      durationS: task.durationS + byS,
      latestS: task.doneInTime ? task.latestS - byS : task.latestS,
    })),
  };
}
