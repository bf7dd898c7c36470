/** S8: a practice is put in one voice on every page; where no filter ever comes off (S2) it never says that one may. */
import { describe, expect, test } from "vitest";
import { practiceSentence } from "../../../console/parts/practice-sentence.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";

/** North of the path of 2027-08-02: partial there. */
const BESIDE_THE_PATH = { latDeg: 44, lonDeg: 10, heightM: 0 };

function sentence(world: SiteWorld, ids: readonly string[], capped: readonly string[]): string {
  const rigs = world.state.plan.rigs.filter(({ id }) => ids.includes(id));
  expect(rigs).toHaveLength(ids.length);
  return practiceSentence(rigs.map((rig) => ({ rig, touchOnly: !capped.includes(rig.id) })));
}

describe("in a practice under the real Sun", () => {
  const world = SiteWorld.planned();

  test("filters stay on where nothing is capped, and come off where it is, on the lead's page and on the phone", () => {
    expect(sentence(world, ["west", "eye", "wide"], [])).toBe("practice.sentence");
    expect(sentence(world, ["west", "eye", "wide"], ["west"])).toBe("practice.sentenceSome");
    expect(sentence(world, ["west"], ["west"])).toBe("practice.sentenceSafe");
    expect(sentence(world, ["eye"], ["west"])).toBe("practice.sentence");
    expect(sentence(world, ["west", "eye", "wide"], ["west", "eye"])).toBe("practice.sentenceSafe");
  });

  test("a camera without a filter is told of none that may come off", () => {
    expect(sentence(world, ["wide"], ["wide"])).toBe("practice.sentence");
  });
});

test("at a partial site filters stay on, capped or not", () => {
  const world = SiteWorld.planned({ site: { name: "Beside", ...BESIDE_THE_PATH } });
  expect(sentence(world, ["west", "eye", "wide"], ["west", "eye", "wide"])).toBe("practice.sentence");
});
