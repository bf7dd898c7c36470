/**
 * The run screen as it is drawn, by the attributes that browser tests hang on. Wording is left
 * to the catalogues; what is checked is what may be pressed, and what must not be there.
 */
import "../../../../console/words/bundles/common.ts";
import "../../../../console/words/bundles/rig.ts";
import { renderToString } from "react-dom/server";
import { describe, expect, it } from "vitest";
import { ConfirmGuard } from "../../../../console/rig/run/confirm-guard.ts";
import type { RigScene } from "../../../../console/rig/run/rig-scene.ts";
import { RunScreen } from "../../../../console/rig/run/run-screen.tsx";
import type { SessionView } from "../../../../shared/link/session-types.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";
import { S, sceneOf } from "../rig-world.ts";

function drawn(scene: RigScene): string {
  const nothing = () => undefined;
  const acts = {
    guard: new ConfirmGuard(),
    undo: null,
    unsafe: false,
    send: nothing,
    act: nothing,
    takeBack: nothing,
  };
  return renderToString(
    <RunScreen
      scene={scene}
      session={{ linkState: "alone" } as SessionView}
      acts={acts}
      read={() => scene.view.runNow}
    />,
  );
}

describe("the run screen", () => {
  it("shows one instruction, a confirm for it, and every filter", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.report("west", { filter: "on" }, { at: c2 - 900 * S });
    const html = drawn(sceneOf(world, c2 - 19 * S, ["west", "wide"]));
    expect(html.match(/data-instruction/g)).toHaveLength(1);
    expect(html).toMatch(/data-action="confirm" data-cue="filter-off" data-rig="west" data-mode="plain"/);
    expect(html).toMatch(/data-rig="west" data-filter="on"/);
    expect(html).toMatch(/data-rig="wide" data-filter="none by design"/);
    expect(html).toMatch(/data-action="help"/);
  });

  it("shows what the camera is set to when its cue is due, by name where one sentence calls two rigs", () => {
    const camera = { exposuresS: [1 / 125], iso: 200, fNumber: 8 };
    const set = (rig: Rig): Rig => ({
      ...rig,
      cues: rig.cues.map((cue) => (cue.id === "bead-before" ? { ...cue, camera } : cue)),
    });
    const planned = SiteWorld.planned();
    const [west, south] = planned.state.plan.rigs;
    const rigs = [set(west!), { ...set(west!), id: "twin", name: "Twin" }, south!];
    const world = SiteWorld.planned({ rigs });
    const due = world.predicted.c2 - 58 * S;
    const settings = (html: string) =>
      [...html.matchAll(/data-settings="true">(.*?)<\/p>/g)].map(([, text]) => text?.replace(/<[^>]*>/g, ""));
    expect(settings(drawn(sceneOf(world, due)))).toEqual(["1/125 s · ISO 200 · f/8"]);
    expect(settings(drawn(sceneOf(world, due, ["west", "twin"]))).sort()).toEqual([
      "Twin 1/125 s · ISO 200 · f/8",
      `${west!.name} 1/125 s · ISO 200 · f/8`,
    ]);
    // Before it is due nothing is to be set.
    expect(settings(drawn(sceneOf(world, due - 20 * S)))).toEqual([]);
  });

  it("shows nothing but the cue, the filter and help while a cue is within a minute", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.report("west", { filter: "on" }, { at: c2 - 86_400 * S });
    const asksForSafe = (offsetS: number): boolean => {
      const start = c2 - 80_000 * S;
      world.practise(start, offsetS);
      return /data-action="practice-safe"/.test(drawn(sceneOf(world, start + 1)));
    };
    expect([asksForSafe(-30), asksForSafe(-250)]).toEqual([false, true]);
  });

  it("leaves card and battery to the report screen", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.report("west", { filter: "on", batteryPct: 4 }, { at: c2 - 900 * S });
    expect(drawn(sceneOf(world, c2 - 250 * S))).not.toMatch(/4 %/);
  });

  it("S10: asks for the filter before anything else", () => {
    const world = SiteWorld.planned();
    const html = drawn(sceneOf(world, world.predicted.c2 - 19 * S));
    expect(html).toMatch(/data-question="filter"/);
    expect(html).not.toMatch(/data-action="confirm"/);
  });

  it("S5: offers 'I see totality' in place of the confirm while in doubt", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.report("west", { filter: "on" }, { at: c2 - 900 * S });
    const html = drawn(sceneOf(world, c2 - 10 * S, ["west"], { boundMs: 2000 }));
    expect(html).toMatch(/data-action="saw-totality"/);
    expect(html).not.toMatch(/data-action="confirm"/);
  });

  it("lets a filter-on be confirmed even while a question is open", () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    world.report("west", { filter: "off" }, { at: c2 - 10 * S, device: "a" });
    world.report("west", { filter: "on" }, { at: c3 + 6 * S, device: "b" });
    const scene = sceneOf(world, c3 + 7 * S);
    expect(scene.rigs[0]?.verdict.disputedBy).toHaveLength(1);
    expect(drawn(scene)).toMatch(/data-action="confirm" data-cue="filter-on"/);
  });
});
