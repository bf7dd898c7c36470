/** A lead who stands at a rig says what its operator may say there, and no more (S5, S9). */
import "../../../../../console/words/bundles/common.ts";
import type { ReactNode } from "react";
import { renderToStaticMarkup } from "react-dom/server";
import { describe, expect, it } from "vitest";
import { TakeOver } from "../../../../../console/lead/run/array/take-over.tsx";
import { type Lead, LeadContext } from "../../../../../console/lead/shell/lead-context.ts";
import { OrdersProvider } from "../../../../../console/lead/shell/use-order.tsx";
import { SiteWorld } from "../../../../shared/run/site-world.ts";

const shown = (children: ReactNode) =>
  renderToStaticMarkup(
    <LeadContext value={{} as Lead}>
      <OrdersProvider>{children}</OrdersProvider>
    </LeadContext>,
  );

/** "west" at its filter-off cue, 20 s before C2 (defaults), its filter said to be on. */
function atFilterOff(confirmed = true) {
  const world = SiteWorld.planned(confirmed ? {} : { site: { ...PLACE, confirmed: false } });
  const at = world.predicted.c2 - 19_000;
  world.report("west", { filter: "on", looked: true }, { at: at - 60_000 });
  return world.rig("west", at);
}
const PLACE = { name: "Palm Field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 };

describe("taking a cue over", () => {
  it("offers to say that the filter is off while it may come off", () => {
    const status = atFilterOff();
    expect(status.cueNow).toMatchObject({ id: "filter-off", mode: "plain" });
    const markup = shown(<TakeOver status={status} />);
    expect(markup).toContain('data-action="mark-done"');
    expect(markup).toContain('data-action="mark-skipped"');
  });

  it("does not while it is by eye only: then it may be left out alone", () => {
    const status = atFilterOff(false);
    expect(status.cueNow).toMatchObject({ id: "filter-off", mode: "by-eye" });
    const markup = shown(<TakeOver status={status} />);
    expect(markup).not.toContain('data-action="mark-done"');
    expect(markup).toContain('data-action="mark-skipped"');
  });
});
