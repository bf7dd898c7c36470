/** The link of a rig, /rig#<rigId>.<token>, several joined by "&". */
import { describe, expect, it } from "vitest";
import {
  keptRigs,
  mergeRigs,
  readFragment,
  settledRigs,
  stillLeft,
} from "../../../../console/rig/join/read-fragment.ts";

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

  it("adds a rig to those that the phone holds, and a newer token keeps the old until a hub took it", () => {
    const kept = [
      { id: "west", token: "old-token" },
      { id: "east", token: "east-token" },
    ];
    expect(mergeRigs(kept, [{ id: "west", token: "new-token" }])).toEqual([
      { id: "west", token: "new-token", former: "old-token" },
      { id: "east", token: "east-token" },
    ]);
    const fresh = [{ id: "eye", token: "eye-token" }];
    expect(mergeRigs(kept, fresh)).toEqual([...kept, ...fresh]);
    expect(mergeRigs(kept, [{ id: "west", token: "old-token" }])).toEqual(kept);
  });

  it("of three tokens of a rig keeps the newest and the one that a hub had taken", () => {
    const kept = [{ id: "west", token: "second", former: "taken" }];
    expect(mergeRigs(kept, [{ id: "west", token: "third" }])).toEqual([
      { id: "west", token: "third", former: "taken" },
    ]);
    // The old card once more: both are tried anyway.
    expect(mergeRigs(kept, [{ id: "west", token: "taken" }])).toEqual(kept);
  });

  it("keeps what a hub has settled, but not over a code that was scanned meanwhile", () => {
    const before = [{ id: "west", token: "second", former: "first" }];
    const after = [{ id: "west", token: "first" }];
    const east = { id: "east", token: "east-token" };
    expect(settledRigs([...before, east], before, after)).toEqual([...after, east]);
    const scanned = [{ id: "west", token: "third", former: "first" }];
    expect(settledRigs(scanned, before, after)).toEqual(scanned);
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
