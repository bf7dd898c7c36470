/** The whole page of a rig, as it is drawn where little is known. */
import "../../../console/words/bundles/common.ts";
import "../../../console/words/bundles/rig.ts";
import { renderToString } from "react-dom/server";
import { expect, test, vi } from "vitest";
import { RigPage } from "../../../console/rig/rig-page.tsx";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { NOBODY } from "../../../shared/run/views/presence.ts";

// Drawn once and to text, the page has no stores to listen to: what they hold is what is drawn.
vi.mock("react", async (original) => ({
  ...(await original<typeof import("react")>()),
  useSyncExternalStore: (_subscribe: unknown, get: () => unknown) => get(),
}));

/** A phone to which no hub has told anything of a site: its link was replaced before it ever read. */
function drawn(cover: boolean): string {
  const view = {
    state: null,
    cover,
    linkState: "refused",
    sinceUtcMs: null,
    refusedRigs: [{ rigId: "west", reason: "revoked" }],
    refused: null,
    formerKept: 0,
    queued: 0,
    oldOrders: [],
    missedOf: [],
    presence: NOBODY,
    alerts: [],
    clockHealth: GOOD_CLOCK,
  };
  const session = {
    view: () => view,
    subscribe: () => () => undefined,
    now: () => 0,
    reading: () => ({ utcMs: 0, boundMs: 5, utcBoundMs: 50 }),
  } as never;
  const store = { get: async () => undefined, set: async () => undefined };
  const joining = { rigs: [{ id: "west" }], bad: [], kept: true, left: [], store } as never;
  return renderToString(<RigPage joining={joining} session={session} onLeave={() => undefined} />);
}

test("“Cover every lens” is shown where nothing is known of the site (S7)", () => {
  expect(drawn(true)).toMatch(/data-cover="?[^>]*>.*role="alertdialog"/);
  expect(drawn(false)).not.toMatch(/alertdialog/);
});
