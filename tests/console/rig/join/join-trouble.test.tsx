/** What a phone is told of a link that is not good, also close to a cue. */
import "../../../../console/words/bundles/common.ts";
import "../../../../console/words/bundles/rig.ts";
import { renderToString } from "react-dom/server";
import { describe, expect, it } from "vitest";
import { JoinTrouble } from "../../../../console/rig/join/join-trouble.tsx";
import type { RefusedRig } from "../../../../shared/link/session-types.ts";

const drawn = (reason: RefusedRig["reason"], quiet: boolean) =>
  renderToString(
    <JoinTrouble
      refused={[{ rigId: "west", reason }]}
      bad={[]}
      formerKept={[]}
      nameOf={() => "West telescope"}
      quiet={quiet}
      onLeave={() => undefined}
    />,
  );

/** What is said of a code: a damaged one, or one that the hub did not take. */
const ofCode = (code: { bad?: string[]; formerKept?: string[] }, quiet = false) =>
  renderToString(
    <JoinTrouble
      refused={[]}
      bad={code.bad ?? []}
      formerKept={code.formerKept ?? []}
      nameOf={(id) => `${id} telescope`}
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

  it("on a rig that was taken out of the plan says to close it: no cue of it will (S9)", () => {
    for (const quiet of [true, false])
      expect(drawn("removed", quiet)).toMatch(/data-refused="removed".*West telescope.*Put its filter on\./s);
  });

  it("of another hub offers no way out: the rig is still this phone's", () => {
    expect(drawn("other hub", false)).toMatch(/data-refused="other hub"/);
    expect(drawn("other hub", false)).not.toMatch(/<button/);
  });

  it("on a damaged code is said on a phone that has rigs, too", () => {
    expect(ofCode({ bad: ["west.sh"] })).toMatch(/data-code-trouble.*not complete.*data-action="code-seen"/s);
    expect(ofCode({})).toBe("");
    expect(ofCode({ bad: ["west.sh"] }, true)).toBe("");
  });

  it("on a code that was not taken names the rig whose link goes on", () => {
    expect(ofCode({ formerKept: ["west"] })).toMatch(/west telescope.*keeps the link it had/s);
  });
});
