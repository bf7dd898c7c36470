/** What the phone keeps of its owner's choices, tells the lead, and flashes. */
import { describe, expect, it } from "vitest";
import { armedReport, NOT_ARMED } from "../../../../console/rig/device/armed-view.ts";
import { FlashLimit } from "../../../../console/rig/device/flash.ts";
import { readPrefs } from "../../../../console/rig/device/prefs.ts";

describe("preferences", () => {
  it("survive a round trip, and nonsense counts as never chosen", () => {
    const plain = readPrefs(null);
    expect(readPrefs(JSON.stringify({ ...plain, hand: "left", soundDelayMs: 180, locale: "ar" }))).toEqual({
      ...plain,
      hand: "left",
      soundDelayMs: 180,
      locale: "ar",
    });
    for (const text of ["", "{", "7", '{"soundDelayMs":-3,"textScale":40,"locale":"xx","sound":"yes"}'])
      expect(readPrefs(text)).toEqual(plain);
  });
});

describe("what the lead is told of a phone", () => {
  it("counts a screen as kept on only under a wake lock", () => {
    const all = { sound: true, voice: true, vibration: true };
    const view = { asked: true, screen: "maybe", sound: true, voice: true, vibration: false } as const;
    expect(armedReport(view, all)).toEqual({ screen: false, sound: true, voice: true, vibration: false });
    expect(armedReport({ ...view, screen: "locked" }, { ...all, sound: false })).toMatchObject({
      screen: true,
      sound: false,
    });
    expect(Object.values(armedReport(NOT_ARMED, all))).toEqual([false, false, false, false]);
  });
});

describe("flashes", () => {
  // WCAG 2.2, success criterion 2.3.1: no more than three flashes in any one second period.
  it("never come more than three times in any second", () => {
    const limit = new FlashLimit();
    const shown: number[] = [];
    for (let ms = 0; ms < 10_000; ms += 37) if (limit.allows(ms)) shown.push(ms);
    for (const from of shown)
      expect(shown.filter((ms) => ms >= from && ms < from + 1000).length).toBeLessThanOrEqual(3);
    expect(shown.length).toBeGreaterThan(20);
  });
});
