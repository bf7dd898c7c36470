/** After a move: whose phones cannot have heard of it. */
import { describe, expect, it } from "vitest";
import { onOldPlace } from "../../../../../console/lead/run/array/old-place.ts";

const T0 = Date.UTC(2027, 7, 2, 7);
const MIN = 60_000;
const devices = { a: { deviceId: "a", rigIds: ["west", "east"], label: "", joinedUtcMs: T0 } } as never;
const rig = (id: string, linked: boolean, lastUtcMs: number | null) =>
  ({ rig: { id }, linked: linked ? [{}] : [], lastUtcMs }) as never;
const ids = (moved: number | null, rigs: never[], now = T0 + 20 * MIN) =>
  onOldPlace({ placeChangedUtcMs: moved as never, devices }, rigs, now).map(
    (one: { rig: { id: string } }) => one.rig.id,
  );

describe("after the site has moved", () => {
  it("a phone that is not linked and has said nothing since goes by the old place", () => {
    const rigs = [rig("west", false, T0), rig("east", true, T0)];
    expect(ids(T0 + 10 * MIN, rigs)).toEqual(["west"]);
  });

  it("one that was heard since does not, nor a rig that has no phone", () => {
    expect(ids(T0 + 10 * MIN, [rig("west", false, T0 + 11 * MIN), rig("north", false, null)])).toEqual([]);
  });

  it("nothing is said where nothing has moved, or long ago", () => {
    expect(ids(null, [rig("west", false, T0)])).toEqual([]);
    expect(ids(T0 + 10 * MIN, [rig("west", false, T0)], T0 + 7 * 60 * MIN)).toEqual([]);
  });
});
