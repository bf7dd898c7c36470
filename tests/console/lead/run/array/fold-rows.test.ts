/** Which rigs are rows and which are tiles: our own rule (DESIGN asks for no scrolling, counts always). */
import { describe, expect, it } from "vitest";
import { foldRows } from "../../../../../console/lead/run/array/fold-rows.ts";

type Cause = "filter-unknown" | "exposed" | "help" | "link-lost" | "card-low";
const rig = (id: number, cause?: Cause) => {
  const priority = cause === "exposed" ? "danger" : cause === "card-low" ? "advice" : "caution";
  return { id, troubles: cause ? [{ cause, priority } as const] : [], up: !!cause && cause !== "card-low" };
};
const many = (count: number, cause?: Cause, from = 0) =>
  Array.from({ length: count }, (_, i) => rig(from + i, cause));
const fold = (all: ReturnType<typeof rig>[], open = -1) => {
  const { rows, tiles } = foldRows(all, 12, 6, ({ id }) => id === open);
  expect([...rows, ...tiles].map(({ id }) => id).sort()).toEqual(all.map(({ id }) => id).sort());
  return { rows: rows.map(({ id }) => id), tiles: tiles.length };
};

describe("rows and tiles", () => {
  it("are all rows while they fit, also beside advice", () => {
    expect(fold([...many(11), rig(11, "card-low")])).toMatchObject({ tiles: 0 });
    expect(fold(many(13))).toEqual({ rows: [], tiles: 13 });
  });

  it("keep a row for everybody who needs somebody, and for the rig that is open", () => {
    expect(fold([...many(10), rig(10, "help"), rig(11, "link-lost")], 3)).toEqual({
      rows: [3, 10, 11],
      tiles: 9,
    });
  });

  it("fold cautions that one line says of several where they do not fit, never danger, help or what one has", () => {
    const shared = many(9, "filter-unknown");
    const own = [
      rig(20, "exposed"),
      rig(21, "exposed"),
      rig(22, "help"),
      rig(23, "help"),
      rig(24, "link-lost"),
    ];
    expect(fold([...shared, ...own])).toEqual({ rows: [20, 21, 22, 23, 24], tiles: 9 });
  });

  it("leave a few that share a cause in their rows", () => {
    expect(fold([...many(6, "filter-unknown"), ...many(6, undefined, 6)]).rows).toEqual([0, 1, 2, 3, 4, 5]);
  });
});
