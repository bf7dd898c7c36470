/** What the set-up screen says of the phone's position. Sentences are quoted from the catalogues. */
import "../../../../console/words/bundles/common.ts";
import "../../../../console/words/bundles/rig.ts";
import "../../../../console/words/bundles/phone.ts";
import "../../../../console/words/bundles/rules.ts";
import { renderToString } from "react-dom/server";
import { describe, expect, it } from "vitest";
import type { ArmingView } from "../../../../console/rig/device/armed-view.ts";
import type { PositionView } from "../../../../console/rig/place/position-watch.ts";
import { ArmPart } from "../../../../console/rig/setup/arm-part.tsx";

const armed: ArmingView = { asked: true, screen: "locked", sound: true, voice: true, vibration: true };
const drawn = (position: PositionView | null, view = armed) =>
  renderToString(<ArmPart armed={view} arm={() => undefined} position={position} />);
const of = (word: PositionView["word"]) => ({ word, boundM: 19.2, awayM: 12_340 });

describe("the arming list", () => {
  it("says how well the position is known, and that it stays on the phone", () => {
    expect(drawn(of("known"))).toMatch(
      /data-can="position" data-good="true".*Position known within 20 m\. It stays on this phone\./s,
    );
  });

  it("says how far away the phone is, as a caution, and that the position stays on the phone", () => {
    expect(drawn(of("away"))).toMatch(
      /data-can="position" data-good="false".*12 km from the place its times are for.*stays on this phone\./s,
    );
  });

  it("says before the question what the position is for, and no more of it afterwards", () => {
    const before = drawn(of(null), { ...armed, asked: false });
    expect(before).toMatch(/asks for its position once.*The position stays on this phone\./s);
    expect(before).not.toMatch(/data-can/);
    expect(drawn(of("none"))).not.toMatch(/asks for its position/);
    expect(drawn(of("none"))).toMatch(/data-can="position" data-good="false".*cannot warn/s);
  });

  it("says nothing of it until that part of the page has come", () => {
    expect(drawn(null)).not.toMatch(/position/i);
  });
});
