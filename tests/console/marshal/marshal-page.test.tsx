/** What a marshal's page says of the eclipse is what the board says, and a practice is marked as one (S8, S13). */
import "../../../console/words/bundles/common.ts";
import "../../../console/words/bundles/board.ts";
import "../../../console/words/bundles/marshal.ts";
import { renderToStaticMarkup } from "react-dom/server";
import { describe, expect, it } from "vitest";
import type { PageBoard } from "../../../console/link/page-board.ts";
import { MarshalPage } from "../../../console/marshal/marshal-page.tsx";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import type { BoardClientView } from "../../../shared/link/board-client.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";

const NOON = Date.UTC(2027, 6, 25, 10);

function pageOf(world: SiteWorld, at: number): string {
  const now = utcMs(at);
  const view = {
    linkState: "linked",
    board: boardSnapshot(world.state, now, GOOD_CLOCK),
    cover: false,
    heard: true,
  } as BoardClientView;
  const session = {
    subscribe: () => () => undefined,
    view: () => view,
    now: () => now,
    reading: () => ({ utcMs: now, boundMs: 5, utcBoundMs: 5, state: "linked" }),
  } as unknown as PageBoard;
  return renderToStaticMarkup(<MarshalPage session={session} token="" />);
}

describe("a marshal's page", () => {
  it("marks a practice as one, with its pace, while it counts down to what is no eclipse", () => {
    const world = SiteWorld.planned();
    expect(pageOf(world, NOON)).not.toContain("practice-banner");
    world.practise(NOON, -180, 4);
    const practising = pageOf(world, NOON + 1000);
    expect(practising).toMatch(/practice-banner"[^>]*data-rate="4"/);
    expect(practising).toContain("This is not the eclipse. Glasses stay on.");
  });
});
