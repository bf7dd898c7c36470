/**
 * Whose work hangs together: stretches of people's tasks put together where something takes two
 * people, or a tool that others want at the same time. Everybody else's stay apart, and are solved
 * apart.
 *
 * Whoever has nothing to do meanwhile may help, and binds nobody: as long as there are as many of
 * them as things that take two, nobody's own work has to be looked at. Else everybody who is busy
 * then is looked at together.
 */
import { type CueTask, stretchesOf } from "./tasks-of-plan.ts";

export interface Crew {
  tasks: CueTask[];
  /** Whose own tasks they are. */
  owners: string[];
}

interface Stretch {
  owner: string;
  tasks: CueTask[];
  fromS: number;
  toS: number;
}

/**
 * @param tasksOf everybody's tasks by the name of the hands; who has none is there, too, and may help.
 * @param longestWayS the longest way between two rigs, s. Crews come by time.
 */
export function crewsOf(tasksOf: ReadonlyMap<string, readonly CueTask[]>, longestWayS: number): Crew[] {
  const stretches: Stretch[] = [];
  for (const [owner, tasks] of tasksOf)
    for (const part of stretchesOf(tasks, longestWayS))
      stretches.push({
        owner,
        tasks: part,
        fromS: Math.min(...part.map(({ earliestS, allowedEarliestS = earliestS }) => allowedEarliestS)),
        toS: Math.max(...part.map(({ latestS, durationS }) => latestS + durationS)) + longestWayS,
      });
  const isBound = ({ tasks }: Stretch) =>
    tasks.some(({ people, tool }) => people === 2 || tool !== undefined);
  let groups = stretches.filter(isBound).map((one) => [one]);
  let alone = stretches.filter((one) => !isBound(one));
  const idleDuring = (group: readonly Stretch[]) => {
    const busy = new Set(stretches.filter((one) => overlaps(group, one)).map(({ owner }) => owner));
    return [...tasksOf.keys()].filter((name) => !busy.has(name));
  };
  for (let joined = true; joined; ) {
    joined = false;
    const next: Stretch[][] = [];
    for (const group of groups) {
      const other = next.find((one) => hangTogether(one, group));
      if (other) other.push(...group);
      else next.push(group);
      joined ||= other !== undefined;
    }
    groups = next;
    for (const group of groups) {
      if (idleDuring(group).length >= thatTakeTwo(group).length) continue;
      const busy = alone.filter((one) => overlaps(group, one));
      const others = groups.filter(
        (one) => one !== group && one.length > 0 && one.some((part) => overlaps(group, part)),
      );
      group.push(...busy, ...others.flat());
      for (const one of others) one.length = 0;
      alone = alone.filter((one) => !busy.includes(one));
      joined ||= busy.length > 0 || others.length > 0;
    }
    groups = groups.filter((group) => group.length > 0);
  }
  return [...groups, ...alone.map((one) => [one])]
    .map((group): Crew => {
      const owners = [...new Set(group.map(({ owner }) => owner))];
      const two = thatTakeTwo(group).length;
      // Most groups need nobody, and a big site has hundreds.
      const idle = two === 0 ? [] : idleDuring(group);
      const helpers = idle.length >= two ? idle.slice(0, two) : [...idle, ...owners];
      const tasks = group
        .flatMap((one) => one.tasks)
        .map((task) =>
          task.people === 1 ? task : { ...task, who: [...new Set([...task.who, ...helpers])] },
        );
      return { tasks: tasks.sort((a, b) => a.earliestS - b.earliestS), owners };
    })
    .sort((a, b) => (a.tasks[0]?.earliestS ?? 0) - (b.tasks[0]?.earliestS ?? 0));
}

function thatTakeTwo(group: readonly Stretch[]): CueTask[] {
  return group.flatMap(({ tasks }) => tasks.filter(({ people }) => people === 2));
}

/** Both want somebody else's hands, or the same tool, at a time. */
function hangTogether(a: readonly Stretch[], b: readonly Stretch[]): boolean {
  if (!a.some((one) => overlaps(b, one))) return false;
  if (thatTakeTwo(a).length > 0 && thatTakeTwo(b).length > 0) return true;
  const tools = (group: readonly Stretch[]) => group.flatMap(({ tasks }) => tasks.map(({ tool }) => tool));
  return tools(a).some((tool) => tool !== undefined && tools(b).includes(tool));
}

function overlaps(group: readonly Stretch[], one: Stretch): boolean {
  return group.some((other) => overlap(other, one));
}

function overlap(a: Stretch, b: Stretch): boolean {
  return a.fromS <= b.toS && b.fromS <= a.toS;
}
