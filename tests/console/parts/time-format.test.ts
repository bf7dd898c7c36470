import { describe, expect, it } from "vitest";
import {
  boundText,
  clockText,
  countdownText,
  elapsedText,
  lengthParts,
  localClockText,
  zoneText,
} from "../../../console/parts/time-format.ts";

const at = Date.UTC(2027, 7, 2, 10, 2, 7, 999);

describe("time as text", () => {
  it("shows the second that is running", () => {
    expect(clockText(at)).toBe("10:02:07");
    expect(clockText(at + 1)).toBe("10:02:08");
    expect(clockText(-1)).toBe("23:59:59");
  });

  it("counts down to 0:00 at the event and not before", () => {
    expect(countdownText(12_000)).toBe("0:12");
    expect(countdownText(11_001)).toBe("0:12");
    expect(countdownText(1)).toBe("0:01");
    expect(countdownText(0)).toBe("0:00");
    expect(countdownText(-5000)).toBe("0:00");
    expect(countdownText(247_000)).toBe("4:07");
    expect(countdownText(4_866_000)).toBe("1:21:06");
  });

  it("counts up in whole seconds gone by", () => {
    expect(elapsedText(999)).toBe("0:00");
    expect(elapsedText(61_500)).toBe("1:01");
  });

  // Offsets of zones: IANA time zone database (Tunis has kept UTC+1 without summer time since 2009;
  // Paris keeps UTC+2 in August; St John's UTC−2:30 in August; Kathmandu UTC+5:45).
  it("shows civil time by the IANA zone", () => {
    expect(localClockText(at, "Africa/Tunis")).toBe("11:02:07");
    expect(localClockText(at, "Europe/Paris")).toBe("12:02:07");
    expect(zoneText(at, "Africa/Tunis")).toBe("UTC+1");
    expect(zoneText(at, "America/St_Johns")).toBe("UTC−2:30");
    expect(zoneText(at, "Asia/Kathmandu")).toBe("UTC+5:45");
    expect(zoneText(at, "UTC")).toBe("UTC");
    expect(zoneText(Date.UTC(2027, 0, 2), "Europe/Paris")).toBe("UTC+1");
  });

  // Directive 2000/84/EC: summer time ends at 01:00 UTC on the last Sunday of October.
  it("follows the end of summer time to the second", () => {
    const change = Date.UTC(2027, 9, 31, 1);
    expect(localClockText(change - 1, "Europe/Paris")).toBe("02:59:59");
    expect(localClockText(change, "Europe/Paris")).toBe("02:00:00");
  });

  it("says that it does not know a zone instead of guessing", () => {
    expect(localClockText(at, "Nowhere/Land")).toBeNull();
    expect(localClockText(at, "")).toBeNull();
    expect(zoneText(at, "Nowhere/Land")).toBeNull();
  });

  it("never states a bound smaller than it is", () => {
    expect(boundText(7.2)).toBe("8 ms");
    expect(boundText(0)).toBe("1 ms");
    expect(boundText(430)).toBe("0.5 s");
    expect(boundText(12_300)).toBe("13 s");
    expect(boundText(600_000)).toBe("10 min");
    expect(boundText(null)).toBe("—");
    expect(boundText(Number.POSITIVE_INFINITY)).toBe("—");
  });

  it("splits a length into hours, minutes and seconds", () => {
    expect(lengthParts(251)).toEqual({ h: 0, min: 4, s: 11 });
    expect(lengthParts(3599.6)).toEqual({ h: 1, min: 0, s: 0 });
  });
});
