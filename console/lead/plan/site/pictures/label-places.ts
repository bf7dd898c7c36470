/**
 * Where names go beside the points of a plot so that they cover neither each other nor a point,
 * and the curve as little as may be. Pure; lengths in units of the plot, y downward, a text's
 * place is its baseline. Of equally good places the earlier one counts: above before below.
 */
export interface PlotPoint {
  x: number;
  y: number;
}

export interface LabelPlace extends PlotPoint {
  anchor: "start" | "middle" | "end";
}

export interface LabelRoom {
  /** A label's box. */
  width: number;
  height: number;
  /** Around a point, its disc included. */
  clearance: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
}

interface Box {
  x0: number;
  x1: number;
  y0: number;
  y1: number;
}

interface Candidate {
  place: LabelPlace;
  box: Box;
  cost: number;
}

/**
 * One place for each point, in their order; `curve` are points along the line that is drawn. Every
 * combination is weighed, so this is for a handful of points: four contacts have 4096.
 */
export function labelPlaces(
  points: readonly PlotPoint[],
  curve: readonly PlotPoint[],
  room: LabelRoom,
): LabelPlace[] {
  const all = points.map((point) =>
    candidates(point, room).map((wanted, order): Candidate => {
      const place = inside(wanted, room);
      const box = boxOf(place, room);
      return { place, box, cost: cost(box, points, curve, room) + order / 10 };
    }),
  );
  let best: { chosen: readonly Candidate[]; cost: number } = { chosen: [], cost: Number.POSITIVE_INFINITY };
  const weigh = (chosen: readonly Candidate[], sum: number): void => {
    if (sum >= best.cost) return;
    const next = all[chosen.length];
    if (!next) {
      best = { chosen, cost: sum };
      return;
    }
    for (const one of next) {
      const over = chosen.filter((other) => overlap(one.box, other.box)).length;
      weigh([...chosen, one], sum + one.cost + over * OVER_LABEL);
    }
  };
  weigh([], 0);
  return best.chosen.map((one) => one.place);
}

/** Over another label is worst, then over a point, then over the curve. */
const OVER_LABEL = 10_000;
const OVER_POINT = 1000;

function candidates({ x, y }: PlotPoint, { height, clearance }: LabelRoom): LabelPlace[] {
  const above = y - clearance;
  const below = y + clearance + height * 0.8;
  const beside = y + height * 0.3;
  return [
    { x: x - clearance / 2, y: above, anchor: "start" },
    { x: x + clearance / 2, y: above, anchor: "end" },
    { x, y: above, anchor: "middle" },
    { x: x - clearance / 2, y: below, anchor: "start" },
    { x: x + clearance / 2, y: below, anchor: "end" },
    { x, y: below, anchor: "middle" },
    { x: x + clearance, y: beside, anchor: "start" },
    { x: x - clearance, y: beside, anchor: "end" },
  ];
}

/** The box of a label whose baseline stands at a place: four fifths of its height lie above. */
export function boxOf({ x, y, anchor }: LabelPlace, { width, height }: LabelRoom): Box {
  const x0 = anchor === "start" ? x : anchor === "end" ? x - width : x - width / 2;
  return { x0, x1: x0 + width, y0: y - height * 0.8, y1: y + height * 0.2 };
}

/** Moved as far as needed to stand within the plot. */
function inside(place: LabelPlace, room: LabelRoom): LabelPlace {
  const box = boxOf(place, room);
  const right = Math.max(0, room.left - box.x0) - Math.max(0, box.x1 - room.right);
  const down = Math.max(0, room.top - box.y0) - Math.max(0, box.y1 - room.bottom);
  return { ...place, x: place.x + right, y: place.y + down };
}

function cost(box: Box, points: readonly PlotPoint[], curve: readonly PlotPoint[], room: LabelRoom): number {
  const half = room.clearance / 2;
  const covered = points.filter(({ x, y }) =>
    overlap(box, { x0: x - half, x1: x + half, y0: y - half, y1: y + half }),
  ).length;
  const line = curve.filter(({ x, y }) => x > box.x0 && x < box.x1 && y > box.y0 && y < box.y1).length;
  return covered * OVER_POINT + line;
}

function overlap(a: Box, b: Box): boolean {
  return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}
