/** What a phone is told of a link that is not good, also close to a cue. */
import "../../../../console/words/parts/common.ts";
import "../../../../console/words/parts/rig.ts";
import { renderToString } from "react-dom/server";
import { describe, expect, it } from "vitest";
import { JoinTrouble } from "../../../../console/rig/join/join-trouble.tsx";
import type { RefusedRig } from "../../../../shared/link/session-types.ts";

const drawn = (reason: RefusedRig["reason"], quiet: boolean) =>
  renderToString(
    <JoinTrouble
      refused={[{ rigId: "west", reason }]}
      nameOf={() => "West telescope"}
      quiet={quiet}
      onLeave={() => undefined}
    />,
  );

describe("the word on a link", () => {
  it("is there in quiet times, too, in a line and without a button that a hurried hand could hit", () => {
    expect(drawn("revoked", true)).toMatch(/data-refused="revoked".*West telescope/s);
    expect(drawn("revoked", true)).not.toMatch(/<button|alert-line-detail/);
    expect(drawn("revoked", false)).toMatch(/Keep the filter on.*data-action="leave"/s);
  });

  it("of another hub offers no way out: the rig is still this phone's", () => {
    expect(drawn("other hub", false)).toMatch(/data-refused="other hub"/);
    expect(drawn("other hub", false)).not.toMatch(/<button/);
  });
});
