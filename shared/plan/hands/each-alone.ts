/**
 * The exact schedule where every task needs one person and no shared tool, and no rig's order binds
 * two people: then what one person does hinders nobody else.
 *
 * Method: f[set][last] is the earliest at which one person can have begun the last of a set of
 * tasks, over all orders (Held & Karp 1962 with windows); a set is possible for a person when all
 * of it may be theirs and some order fits. Then the sets are shared out among the people, the
 * heaviest that holds every must. Exact; 2^n · n² steps and 3^n for each further person.
 */
import { type HandsProblem, laterAtRig, type Placed, peopleOf, type Schedule, type Task } from "./task.ts";

/** Above it the exact way takes too long. */
export const MOST_EXACT = 13;

const NEVER = Number.POSITIVE_INFINITY;

/** Earliest begin of the last task for every set, [set * n + last]; infinite where it does not fit. */
function earliestBegins(tasks: readonly Task[], walkS: HandsProblem["walkS"]): Float64Array {
  const n = tasks.length;
  const begins = new Float64Array((1 << n) * n).fill(NEVER);
  const after = tasks.map((a) => tasks.map((b) => a.durationS + walkS(a.rigId, b.rigId)));
  const earliest = tasks.map(({ earliestS }) => earliestS);
  const latest = tasks.map(({ latestS }) => latestS);
  const later = laterAtRig(tasks);
  for (let i = 0; i < n; i++)
    if ((earliest[i] as number) <= (latest[i] as number)) begins[(1 << i) * n + i] = earliest[i] as number;
  for (let set = 1; set < 1 << n; set++) {
    for (let last = 0; last < n; last++) {
      const began = begins[set * n + last] as number;
      if (began === NEVER) continue;
      const row = after[last] as number[];
      for (let next = 0; next < n; next++) {
        if (set & ((1 << next) | (later[next] as number))) continue;
        const at = Math.max(earliest[next] as number, began + (row[next] as number));
        if (at > (latest[next] as number)) continue;
        const to = (set | (1 << next)) * n + next;
        if (at < (begins[to] as number)) begins[to] = at;
      }
    }
  }
  return begins;
}

/** The order behind f[set][last], from the last back. */
function orderOf(
  set: number,
  who: string,
  tasks: readonly Task[],
  begins: Float64Array,
  walkS: HandsProblem["walkS"],
): Placed[] {
  const n = tasks.length;
  const order: Placed[] = [];
  let last = -1;
  for (let i = 0; i < n; i++)
    if (last < 0 || (begins[set * n + i] as number) < (begins[set * n + last] as number)) last = i;
  for (let left = set; left !== 0; ) {
    const task = tasks[last] as Task;
    const startS = begins[left * n + last] as number;
    order.unshift({ taskId: task.id, who: [who], startS, endS: startS + task.durationS });
    const before = left & ~(1 << last);
    let found = -1;
    for (let i = 0; i < n && found < 0; i++) {
      const began = before & (1 << i) ? (begins[before * n + i] as number) : NEVER;
      const previous = tasks[i] as Task;
      const at = Math.max(task.earliestS, began + previous.durationS + walkS(previous.rigId, task.rigId));
      if (at === startS) found = i;
    }
    left = before;
    last = found;
  }
  return order;
}

/** Whether this way is exact for these tasks. */
export function isEachAlone(tasks: readonly Task[]): boolean {
  const ranked = tasks.filter(({ rank }) => rank !== undefined);
  const hands = new Map(ranked.map(({ rigId, who }) => [rigId, who[0]]));
  const bound = ranked.some(({ rigId, who }) => who.length !== 1 || hands.get(rigId) !== who[0]);
  return !bound && tasks.every(({ people, tool, own }) => people === 1 && !tool && own === undefined);
}

/**
 * The heaviest schedule that does all that must be done; undefined where there is none. At most
 * MOST_EXACT tasks, all for one person and without a tool.
 */
export function scheduleEachAlone({ tasks, walkS }: HandsProblem): Schedule | undefined {
  const n = tasks.length;
  const people = peopleOf(tasks);
  const begins = earliestBegins(tasks, walkS);
  const fits = new Uint8Array(1 << n);
  fits[0] = 1;
  for (let set = 1; set < 1 << n; set++)
    for (let last = 0; last < n && !fits[set]; last++)
      if ((begins[set * n + last] as number) < NEVER) fits[set] = 1;
  const maskOf = (person: string) =>
    tasks.reduce((mask, { who }, i) => (who.includes(person) ? mask | (1 << i) : mask), 0);
  const masks = people.map(maskOf);
  // shared[p][set]: what person p does of a set that the first p + 1 people can do together; -1: cannot.
  const shared: Int32Array[] = [];
  for (const [p, mask] of masks.entries()) {
    const mine = new Int32Array(1 << n).fill(-1);
    const before = shared[p - 1];
    for (let set = 0; set < 1 << n; set++) {
      if (!before) {
        if ((set & ~mask) === 0 && fits[set]) mine[set] = set;
        continue;
      }
      // What only this person could add to what the others can do: all subsets within their own.
      const may = set & mask;
      for (let part = may; ; part = (part - 1) & may) {
        if (fits[part] && (before[set & ~part] as number) >= 0) {
          mine[set] = part;
          break;
        }
        if (part === 0) break;
      }
    }
    shared.push(mine);
  }
  const last = shared.at(-1);
  if (!last) return { placed: [], dropped: [], weight: 0 };
  const must = tasks.reduce((mask, task, i) => (task.must ? mask | (1 << i) : mask), 0);
  let [best, bestWeight] = [-1, -1];
  for (let set = 0; set < 1 << n; set++) {
    if ((set & must) !== must || (last[set] as number) < 0) continue;
    let weight = 0;
    for (let i = 0; i < n; i++) if (set & (1 << i)) weight += (tasks[i] as Task).weight;
    if (weight > bestWeight) [best, bestWeight] = [set, weight];
  }
  if (best < 0) return undefined;
  const placed: Placed[] = [];
  let left = best;
  for (let p = people.length - 1; p >= 0; p--) {
    const part = (shared[p] as Int32Array)[left] as number;
    placed.push(...orderOf(part, people[p] as string, tasks, begins, walkS));
    left &= ~part;
  }
  placed.sort((a, b) => a.startS - b.startS);
  const dropped = tasks.filter((_, i) => !(best & (1 << i))).map(({ id }) => id);
  return { placed, dropped, weight: bestWeight };
}
