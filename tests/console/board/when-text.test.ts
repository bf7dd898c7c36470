import { afterAll, beforeAll, describe, expect, it } from "vitest";
import "../../../console/words/bundles/board.ts";
import "../../../console/words/bundles/common.ts";
import { namedTimeText, whenText, zonedText } from "../../../console/board/when-text.ts";
import { loadWords } from "../../../console/words/words.ts";

// Zone: IANA time zone database. Luxor is in Africa/Cairo, which keeps UTC+3 in summer again since 2023.
const ZONE = "Africa/Cairo";
const C2 = Date.UTC(2027, 7, 2, 10, 2, 8);
const DAY_MS = 86_400_000;

beforeAll(() => loadWords("en"));
afterAll(() => loadWords("en"));

describe("when something comes, on the board", () => {
  it("names the zone with every time", () => {
    expect(zonedText(C2, ZONE)).toBe("13:02:08 UTC+3");
    expect(namedTimeText(C2, ZONE)).toBe("13:02:08 local time (UTC+3)");
    expect(whenText(C2, C2 - 60_000, ZONE)).toBe("at 13:02:08 local time (UTC+3)");
  });

  it("says UTC where the device does not know the zone", () => {
    expect(zonedText(C2, "Nowhere/Land")).toBe("10:02:08 UTC");
    expect(whenText(C2, C2 - 60_000, "")).toBe("at 10:02:08 UTC");
  });

  it("gives the date as long as it is another day at the site", () => {
    const date = /^on Monday,? 2 August 2027 at 13:02:08 local time \(UTC\+3\)$/;
    expect(whenText(C2, C2 - 92 * DAY_MS, ZONE)).toMatch(date);
    // 23:59:59 and 00:00:00 of the site's own day, which UTC begins three hours later.
    const midnight = Date.UTC(2027, 7, 1, 21);
    expect(whenText(C2, midnight - 1000, ZONE)).toMatch(date);
    expect(whenText(C2, midnight, ZONE)).toBe("at 13:02:08 local time (UTC+3)");
  });

  it.each([
    ["es", /^el lunes,? 2 de agosto de 2027 a las 13:02:08 hora local \(UTC\+3\)$/],
    ["fr", /^le lundi 2 août 2027 à 13:02:08 heure locale \(UTC\+3\)$/],
    ["ar", /^يوم الاثنين، 2 أغسطس 2027 عند 13:02:08 التوقيت المحلي \(UTC\+3\)$/],
  ] as const)("says it in %s, in figures 0 to 9", async (locale, said) => {
    await loadWords(locale);
    expect(whenText(C2, C2 - 92 * DAY_MS, ZONE).replaceAll(/[\u061c\u200e\u200f\u2068\u2069]/g, "")).toMatch(
      said,
    );
  });
});
