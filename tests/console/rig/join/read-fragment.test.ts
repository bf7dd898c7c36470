/** The link of a rig, /rig#<rigId>.<token>, several joined by "&". */
import { describe, expect, it } from "vitest";
import { keptRigs, mergeRigs, readFragment, stillLeft } from "../../../../console/rig/join/read-fragment.ts";

describe("the link of a rig", () => {
  it("names one rig or several", () => {
    expect(readFragment("#west.abcDEF_-12")).toEqual({
      rigs: [{ id: "west", token: "abcDEF_-12" }],
      bad: [],
    });
    expect(readFragment("west.abcdefgh&east-2.ijklmnop").rigs.map((rig) => rig.id)).toEqual([
      "west",
      "east-2",
    ]);
  });

  it.each(["#west", "#west.", "#.abcdefgh", "#West.abcdefgh", "#west.abc def gh", "#west.short"])(
    "is refused when it is not complete: %s",
    (fragment) => {
      const { rigs, bad } = readFragment(fragment);
      expect(rigs).toEqual([]);
      expect(bad).toHaveLength(1);
    },
  );

  it("keeps the good part of a half-read code", () => {
    const { rigs, bad } = readFragment("#west.abcdefgh&eas");
    expect(rigs).toHaveLength(1);
    expect(bad).toEqual(["eas"]);
  });

  it("adds a rig to those that the phone holds, and a newer token replaces the old", () => {
    const kept = [
      { id: "west", token: "old-token" },
      { id: "east", token: "east-token" },
    ];
    expect(mergeRigs(kept, [{ id: "west", token: "new-token" }])).toEqual([
      { id: "west", token: "new-token" },
      { id: "east", token: "east-token" },
    ]);
  });

  it("of rigs that were left keeps those whose reports still wait, unless joined again", () => {
    const left = ["west", "east", "wide"].map((id) => ({ id, token: `${id}-token` }));
    const joined = [{ id: "wide", token: "new-token" }];
    expect(stillLeft(left, joined, ["west", "wide", "west"])).toEqual([{ id: "west", token: "west-token" }]);
  });

  it("takes nothing from storage that is no list of rigs", () => {
    expect(keptRigs(undefined)).toEqual([]);
    expect(keptRigs("west")).toEqual([]);
    expect(keptRigs([{ id: "west" }, null, { id: "east", token: "t" }])).toEqual([
      { id: "east", token: "t" },
    ]);
  });
});
