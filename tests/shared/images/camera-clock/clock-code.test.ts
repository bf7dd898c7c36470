/** The clock page's code: what is written is read, and nothing else is. */
import QRCode from "qrcode";
import { describe, expect, it } from "vitest";
import {
  BOUND_MOST_MS,
  codeDigits,
  readClockCode,
  STEP_MS,
  shownSince,
} from "../../../../shared/images/camera-clock/clock-code.ts";
import { numbersFrom } from "../../../support/random.ts";

const NOW = Date.UTC(2027, 7, 2, 10, 2, 8, 300);

describe("seventeen digits", () => {
  it("bring back the time, the panel, the pace and a bound that is never smaller", () => {
    const next = numbersFrom(17);
    for (let i = 0; i < 2000; i++) {
      const utcMs = NOW + Math.floor(next() * 1e9);
      const boundMs = 10 ** (next() * 7 - 1);
      const panel = next() < 0.5 ? 0 : 1;
      const pace = next() < 0.5 ? "usual" : "fast";
      const read = readClockCode(codeDigits(utcMs, panel, pace, boundMs) ?? "");
      expect(read).toMatchObject({ utcMs, panel, pace, holdMs: pace === "fast" ? 100 : 200 });
      expect(read?.boundMs).toBeGreaterThanOrEqual(Math.min(boundMs, 1e7) - 1e-6);
      // A step of the scale is a factor of 10^(1/12): a fifth.
      expect(read?.boundMs).toBeLessThanOrEqual(Math.max(1, boundMs * 1.2116));
    }
  });

  it("are a QR code of version 1 at level H: 21 modules, masks and all", () => {
    const digits = codeDigits(NOW, 1, "fast", 12) as string;
    const code = QRCode.create([{ data: digits, mode: "numeric" }], {
      version: 1,
      errorCorrectionLevel: "H",
    });
    expect(code.modules.size).toBe(21);
    // One more does not fit (ISO/IEC 18004, table 7: 17 digits at 1-H).
    const longer = [{ data: `${digits}0`, mode: "numeric" as const }];
    expect(() => QRCode.create(longer, { version: 1, errorCorrectionLevel: "H" })).toThrow();
  });

  it("end in a check digit: any one of them changed is found out", () => {
    const digits = codeDigits(NOW, 0, "usual", 5) as string;
    for (let i = 0; i < 17; i++) {
      const wrong = `${digits.slice(0, i)}${(Number(digits[i]) + 3) % 10}${digits.slice(i + 1)}`;
      expect(readClockCode(wrong), wrong).toBeNull();
    }
  });

  it.each(["", "12345", "https://example.org/rig", "1801217728300000x", "18012177283004079"])(
    "are not what %j is",
    (text) => expect(readClockCode(text)).toBeNull(),
  );

  it("are not written by a clock that knows nothing", () => {
    expect(codeDigits(NOW, 0, "usual", Number.POSITIVE_INFINITY)).toBeNull();
    expect(codeDigits(NOW, 0, "usual", Number.NaN)).toBeNull();
    expect(codeDigits(NOW, 0, "usual", BOUND_MOST_MS)).not.toBeNull();
  });
});

describe("two panels", () => {
  it.each(["usual", "fast"] as const)(
    "at the %s pace change in turn, each standing for two steps",
    (pace) => {
      const step = STEP_MS[pace];
      for (let ms = 0; ms < 1000; ms++) {
        const both = [shownSince(NOW + ms, 0, pace), shownSince(NOW + ms, 1, pace)];
        for (const since of both) {
          expect(NOW + ms - since).toBeGreaterThanOrEqual(0);
          expect(NOW + ms - since).toBeLessThan(2 * step);
        }
        expect(Math.abs((both[0] as number) - (both[1] as number))).toBe(step);
      }
    },
  );
});
