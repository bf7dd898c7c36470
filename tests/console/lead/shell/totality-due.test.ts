/** The call of totality is offered large from five seconds before C2 (S6 opens it then), until it stands. */
import { expect, test } from "vitest";
import { isTotalityDue } from "../../../../console/lead/shell/totality-due.ts";
import { NOBODY } from "../../../../shared/run/views/presence.ts";
import { viewRun } from "../../../../shared/run/views/run-view.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";

const NOW = Date.UTC(2027, 6, 25);

test("around C2, and no more once it is called", () => {
  const world = SiteWorld.planned();
  world.practise(NOW, -60);
  const due = (s: number) =>
    isTotalityDue(viewRun(world.state, NOBODY, world.clock, utcMs(NOW + 60_000 + 1000 * s)));
  expect([-30, -6, -4, 0, 14, 16].map(due)).toEqual([false, false, true, true, true, false]);
  world.order({ type: "call", call: "totality" }, NOW + 61_000);
  expect(due(3)).toBe(false);
});
