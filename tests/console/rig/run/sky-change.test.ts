/** What an operator is told of another sky: what is ahead and differs, and never to take a filter off. */
import { describe, expect, it } from "vitest";
import { skyChange } from "../../../../console/rig/run/sky-change.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";
import { S, sceneOf } from "../rig-world.ts";

type Edits = NonNullable<Rig["edits"]>;

function changeTo(edits: readonly unknown[], fromC2S: number, sky: "thin" | "overcast" = "thin") {
  const world = SiteWorld.planned();
  const { view } = sceneOf(world, world.predicted.c2 + fromC2S * S, ["west"]);
  const west = world.state.plan.rigs[0] as Rig;
  const rig = { ...west, variants: { [sky]: edits as Edits } };
  const { changed, gone, staysOn } = skyChange(rig, "clear", sky, view.contacts, view.runNow);
  return { changed: changed.map(({ id }) => id), gone: gone.map(({ id }) => id), staysOn };
}

const out = (cueId: string) => ({ do: "switch", cueId, on: false });
const moved = (cueId: string, byS: number) => ({ do: "move", cueId, byS });

describe("the notice of another sky", () => {
  it("names nothing where the lists are the same", () => {
    expect(changeTo([], -120)).toEqual({ changed: [], gone: [], staysOn: false });
  });

  it("names what is left out, and what is moved", () => {
    const edits = [out("corona-brackets"), moved("burst-before", -2)];
    expect(changeTo(edits, -120)).toEqual({
      changed: ["burst-before"],
      gone: ["corona-brackets"],
      staysOn: false,
    });
  });

  it("leaves out what is over", () => {
    const edits = [out("focus-card-battery"), moved("bead-before", -2), out("retape")];
    expect(changeTo(edits, 20)).toEqual({ changed: [], gone: ["retape"], staysOn: false });
  });

  it("never tells to take a filter off or to look up: only that the filter stays on", () => {
    const edits = [moved("filter-off", 2), moved("look-up", 5)];
    expect(changeTo(edits, -120)).toEqual({ changed: [], gone: [], staysOn: false });
    expect(changeTo([out("filter-off")], -120)).toEqual({ changed: [], gone: [], staysOn: true });
    expect(changeTo([], -120, "overcast").staysOn).toBe(true);
  });
});
