/** What is told of a drill afterwards, on a phone under the real Sun, orders no filter off (S8). */
import { renderToStaticMarkup } from "react-dom/server";
import { expect, test } from "vitest";
import { DrillResult } from "../../../console/drill/drill-result.tsx";
import { DrillSession } from "../../../console/drill/drill-session.ts";
import type { PageSession } from "../../../console/link/open-session.ts";
import type { SessionView } from "../../../shared/link/session-types.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";

test("a cue that was to be touched only is told as it was put, a capped rig’s as it was done", async () => {
  const world = SiteWorld.planned();
  const began = Date.UTC(2027, 6, 25, 10);
  const view = { state: world.state, cover: false, queued: 0, rejected: [] } as unknown as SessionView;
  let at = began;
  const real = { subscribe: () => () => undefined, view: () => view, now: () => utcMs(at) };
  const segment = { from: { anchor: "C2", offsetS: -30 }, until: { anchor: "C2", offsetS: 30 } } as const;
  const drill = new DrillSession(real as unknown as PageSession, segment, 1);
  at += 59_000;
  const told = () => {
    const review = drill.review(["west"]);
    if (!review) throw new Error("there is no review");
    const { rigs } = world.state.plan;
    return renderToStaticMarkup(
      <DrillResult review={review} rigs={rigs} touched={drill.touchOnly(["west"])} />,
    );
  };
  expect(told()).toContain("Touch the filter, leave it on.");
  expect(told()).not.toContain("Take the filter off.");
  await drill.report("west", { practiceSafe: true });
  expect(told()).toContain("Take the filter off.");
});
