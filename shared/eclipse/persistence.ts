/**
 * Valleys of a function on a circle that outlast their surroundings: each local minimum with the
 * level at which it joins a deeper one. Zero-dimensional persistence by merging neighbours in
 * order of height. Source: Edelsbrunner, Letscher & Zomorodian, Discrete & Computational Geometry
 * 28 (2002) 511–533.
 */

interface Island {
  /** Index of the minimum. */
  index: number;
  /** Value there. */
  peak: number;
  /** Value of the lowest ridge toward a deeper minimum; the deepest one's is the last it was joined at. */
  merge: number;
}

/** Islands of the values below `ceiling`, in no set order. */
export function islandsOf(values: Float64Array, ceiling: number): Island[] {
  const n = values.length;
  const order = Array.from({ length: n }, (_, i) => i)
    .filter((i) => (values[i] as number) < ceiling)
    .sort((a, b) => (values[a] as number) - (values[b] as number) || a - b);
  const owner = new Int32Array(n).fill(-1);
  const find = (i: number): number => {
    let at = i;
    while (owner[at] !== at) at = owner[at] as number;
    owner[i] = at;
    return at;
  };
  const islands: Island[] = [];
  let lowestJoin = ceiling;
  for (const i of order) {
    owner[i] = i;
    for (const j of [(i + n - 1) % n, (i + 1) % n]) {
      if (owner[j] === -1) continue;
      const [a, b] = [find(i), find(j)];
      if (a === b) continue;
      const [deep, shallow] = (values[a] as number) <= (values[b] as number) ? [a, b] : [b, a];
      owner[shallow] = deep;
      if (shallow === i) continue;
      const merge = values[i] as number;
      lowestJoin = Math.min(lowestJoin, merge);
      islands.push({ index: shallow, peak: values[shallow] as number, merge });
    }
  }
  const deepest = order[0];
  if (deepest !== undefined)
    islands.push({ index: deepest, peak: values[deepest] as number, merge: lowestJoin });
  return islands;
}
