/** One press, one confirm. The guard's length is common practice, no source. */
import { describe, expect, it } from "vitest";
import { ConfirmGuard, GUARD_MS } from "../../../../console/rig/run/confirm-guard.ts";
import { keyConfirms } from "../../../../console/rig/run/key-confirms.ts";

const key = (name: string, rest: object = {}) => ({
  key: name,
  repeat: false,
  ctrlKey: false,
  altKey: false,
  metaKey: false,
  onControl: false,
  ...rest,
});

describe("the confirm guard", () => {
  it("takes one of two presses of a bouncing remote", () => {
    const guard = new ConfirmGuard();
    guard.show("west/filter-off", 0);
    expect(guard.press(5000)).toBe(true);
    expect(guard.press(5040)).toBe(false);
    expect(guard.press(5000 + GUARD_MS - 1)).toBe(false);
    expect(guard.press(5000 + GUARD_MS)).toBe(true);
  });

  it("takes no press in the moment in which the button came to mean another cue", () => {
    const guard = new ConfirmGuard();
    guard.show("west/filter-off", 0);
    guard.show("east/filter-off", 6000);
    expect(guard.press(6100)).toBe(false);
    guard.show("east/filter-off", 6300);
    expect(guard.press(6500)).toBe(true);
  });
});

describe("keys of a remote", () => {
  // Key values by W3C UI Events KeyboardEvent key Values, Recommendation of 2025.
  it.each([" ", "Enter", "PageDown", "ArrowRight", "b", "MediaPlayPause", "AudioVolumeUp"])(
    "confirm: %s",
    (name) => expect(keyConfirms(key(name))).toBe(true),
  );

  it.each(["Tab", "Escape", "Shift", "F5", "Meta", "BrowserBack", "Unidentified"])(
    "keep their own job: %s",
    (name) => expect(keyConfirms(key(name))).toBe(false),
  );

  it("do not confirm while held down, with a modifier, or on another control", () => {
    expect(keyConfirms(key("Enter", { repeat: true }))).toBe(false);
    expect(keyConfirms(key("r", { ctrlKey: true }))).toBe(false);
    expect(keyConfirms(key("Enter", { onControl: true }))).toBe(false);
  });
});
