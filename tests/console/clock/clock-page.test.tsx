/** Whoever holds a camera to the clock is told to cover its lens like everybody (S7). */
import "../../../console/words/bundles/common.ts";
import "../../../console/words/bundles/clock.ts";
import { renderToStaticMarkup } from "react-dom/server";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { ClockPage } from "../../../console/clock/clock-page.tsx";
import type { PageBoard } from "../../../console/link/page-board.ts";
import { utcMs } from "../../../shared/time/instants.ts";

const now = utcMs(Date.UTC(2027, 7, 2, 9));

function page(cover: boolean): string {
  const view = { linkState: "linked", sinceUtcMs: null, board: null, cover, heard: true };
  const session = {
    subscribe: () => () => undefined,
    view: () => view,
    now: () => now,
    reading: () => ({ utcMs: now, boundMs: 5, utcBoundMs: 5, state: "linked" }),
    apartMs: () => 0,
  } as unknown as PageBoard;
  return renderToStaticMarkup(<ClockPage session={session} />);
}

// What a browser has and Node has not.
beforeEach(() => void vi.stubGlobal("document", { fullscreenEnabled: false }));
afterEach(() => void vi.unstubAllGlobals());

it("“Cover every lens” stands on the clock's page while it is called", () => {
  expect(page(false)).not.toContain("cover-screen");
  expect(page(true)).toContain("cover-screen");
});
