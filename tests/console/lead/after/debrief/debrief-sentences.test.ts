/**
 * What a debrief says aloud is true of the run it is made of, in four languages: odd runs, ties, no facts,
 * one rig and sixty, and runs drawn at random whose sentences are read back and compared.
 */
import fc from "fast-check";
import { afterEach, describe, expect, it } from "vitest";
import { debriefSentences } from "../../../../../console/lead/after/debrief/debrief-sentences.ts";
import { afterC3Text, offText } from "../../../../../console/parts/words-for-reviewed.ts";
import { type Locale, loadWords, locales } from "../../../../../console/words/words.ts";
import type { Review } from "../../../../../shared/review/review.ts";
import { SCORES, type Score } from "../../../../../shared/review/scores.ts";

interface Filter {
  name?: string;
  /** From C3 to when it was on again, s; null while it is off; left out where it never came off. */
  closedS?: number | null;
  sunlitS?: number;
  told?: boolean;
  hasOne?: boolean;
}
function review(
  scores: Score[],
  filters: Filter[],
  alerts: [raised: number, most: number, read?: number] = [0, 0],
): Review {
  return {
    cues: scores.map((score) => ({ score })),
    filters: filters.map(({ closedS, sunlitS = 0, told = true, hasOne = true }, i) => ({
      rigId: `r${i}`,
      open: closedS === undefined ? [] : [{ fromRunMs: 0, untilRunMs: 1, closed: closedS !== null }],
      openS: closedS === undefined ? 0 : 1,
      closedAfterC3S: closedS ?? null,
      ...{ sunlitS, told, hasOne },
    })),
    rigs: filters.map(({ name }, i) => ({ id: `r${i}`, name: name ?? `Rig ${i}`, operator: "" })),
    alerts: { raised: alerts[0], mostInTenMinutes: alerts[1], read: alerts[2] ?? alerts[0] },
  } as never;
}
const say = (...of: Parameters<typeof review>) => debriefSentences(review(...of));
const filtersSay = (...filters: Filter[]) => say([], filters)[1];
/** Without the marks that keep figures from left to right. */
const plain = (text: string | undefined) => text?.replace(/[\u2066-\u2069]/g, "").replaceAll("\u00a0", " ");

afterEach(() => loadWords("en"));

describe("the sentences of a debrief", () => {
  it("count cues, and say plainly when all or none were done", () => {
    expect(say(["late", "on time", "on time", "missed"], [])[0]).toBe(
      "4 cues judged: 2 on time, 0 early, 1 late, 1 not confirmed.",
    );
    expect(say(["on time", "on time"], [])[0]).toBe("All 2 cues were done on time.");
    expect(say(["missed", "missed", "missed"], [])[0]).toBe("None of the 3 cues was confirmed.");
    expect(say(["late"], [])[0]).toBe("1 cue judged: 0 on time, 0 early, 1 late, 0 not confirmed.");
    expect(say([], [])[0]).toBe("No cue was to be confirmed in this run so far.");
  });

  it("take silence for silence, not for a filter that stayed on", () => {
    expect(filtersSay({ told: false }, { told: false })).toBe("Nobody said what any filter was.");
    expect(filtersSay({}, { told: false })).toBe(
      "No filter was reported off; of 1 rig nobody said anything.",
    );
    expect(filtersSay({}, {})).toBe("No filter was reported off.");
    // Of what has none by design nobody need say anything.
    expect(filtersSay({}, { told: false, hasOne: false })).toBe("No filter was reported off.");
  });

  it("say when the last filter was on again, only where there is such an instant", () => {
    expect(plain(filtersSay({ closedS: 3 }, { closedS: 11.6 }))).toBe(
      "Every filter that came off was on again by C3 + 0:12.",
    );
    expect(filtersSay({ closedS: -20 })).toBe("Every filter that came off was on again before C3.");
  });

  it("name what was open in sunlight before all else, and none of several alike as the only one", () => {
    expect(filtersSay({ closedS: 92, sunlitS: 77.2 }, { closedS: 3 })).toBe(
      "Rig 0 was without its filter in sunlight for 1:17.",
    );
    expect(filtersSay({ closedS: 92, sunlitS: 77 }, { closedS: 30, sunlitS: 15 })).toBe(
      "2 rigs were without a filter in sunlight; longest Rig 0, for 1:17.",
    );
    expect(filtersSay({ closedS: 92, sunlitS: 77.4 }, { closedS: 92, sunlitS: 76.6 })).toBe(
      "Rig 0 and Rig 1 were without their filters in sunlight, for 1:17 each.",
    );
    expect(filtersSay({ closedS: null, sunlitS: 600 })).toBe(
      "Rig 0 was without its filter in sunlight for 10:00. Never reported on again: Rig 0.",
    );
    expect(filtersSay({ closedS: null }, { closedS: 4 })).toBe("Never reported on again: Rig 0.");
  });

  it("stay short with sixty rigs", () => {
    const sixty = Array.from({ length: 60 }, () => ({ closedS: null }));
    expect(filtersSay(...sixty)).toBe("Never reported on again: Rig 0, Rig 1, Rig 2 and 57 more.");
  });

  it("say the rate of alerts only where it says something", () => {
    expect(say([], [], [0, 0])[2]).toBe("No alerts.");
    expect(say([], [], [1, 1])[2]).toBe("One alert.");
    expect(say([], [], [3, 3])[2]).toBe("3 alerts, all within ten minutes.");
    expect(say([], [], [5, 2])[2]).toBe("5 alerts, at most 2 in ten minutes.");
    // Many rigs' one cause is one line to read, and the rate is of lines.
    expect(say([], [], [12, 3, 3])[2]).toBe("12 alerts, read as 3 lines, at most 3 in ten minutes.");
  });

  it("agree in number in the other languages", async () => {
    const first = async (locale: Locale, scores: Score[]) => {
      await loadWords(locale);
      return say(scores, [])[0];
    };
    expect(await first("fr", ["late", "missed"])).toContain("1 non confirmée.");
    expect(await first("fr", ["late", "missed", "missed"])).toContain("2 non confirmées.");
    expect(await first("es", ["on time"])).toBe("El único aviso se hizo a tiempo.");
    expect(await first("ar", ["late", "missed"])).toContain("إجراءان");
    expect(await first("ar", Array(11).fill("late"))).toContain("11 إجراءً");
  });

  it("hold only figures and names of the run, in every language, whatever the run was", async () => {
    for (const locale of locales) {
      await loadWords(locale);
      fc.assert(
        fc.property(
          fc.array(fc.constantFrom(...SCORES), { maxLength: 40 }),
          fc.array(
            fc.record(
              {
                closedS: fc.option(fc.double({ min: -200, max: 900, noNaN: true })),
                sunlitS: fc.oneof(fc.constant(0), fc.double({ min: 0, max: 900, noNaN: true })),
                told: fc.boolean(),
                hasOne: fc.boolean(),
              },
              { requiredKeys: [] },
            ),
            { maxLength: 60 },
          ),
          fc.tuple(fc.nat(30), fc.nat(9)),
          (scores, drawn, [more, most]) => {
            // Names without figures of their own, so that every figure read is one that was said.
            const filters = drawn.map((one, i) => ({
              ...one,
              name: `Rig${String.fromCharCode(65 + (i % 26), 65 + Math.floor(i / 26))}`,
            }));
            const raised = most + more;
            const peak = raised === 0 ? 0 : Math.max(1, most);
            const [cues = "", open = "", alerts = ""] = say(scores, filters, [raised, peak]).map(
              (one) => plain(one) as string,
            );
            const figures = (text: string) => (text.match(/\d+/g) ?? []).map(Number);
            const count = (score: Score) => scores.filter((one) => one === score).length;
            const known = [scores.length, ...SCORES.map(count)];
            expect(figures(cues).filter((n) => !known.includes(n))).toEqual([]);
            expect(figures(alerts).filter((n) => ![raised, peak, 10].includes(n))).toEqual([]);
            const lit = filters.filter(({ sunlitS = 0 }) => Math.round(sunlitS) > 0);
            const worst = Math.round(Math.max(0, ...lit.map(({ sunlitS = 0 }) => sunlitS)));
            const time = `${Math.floor(worst / 60)}:${String(worst % 60).padStart(2, "0")}`;
            expect(open.includes(time)).toBe(worst > 0 || open.includes(`C3 + ${time}`));
            // Whoever is named was in sunlight the longest, or never on again.
            for (const { name, sunlitS = 0, closedS } of filters)
              if (open.includes(name)) expect(Math.round(sunlitS) === worst || closedS === null).toBe(true);
            if (lit.length === 0 && filters.some(({ closedS }) => closedS === null))
              expect(figures(open.replace(/\d+ (?:more|más|autres|أخرى)/, ""))).toEqual([]);
            for (const text of [cues, open, alerts]) expect(text).not.toMatch(/undefined|NaN|null|[{}]/);
          },
        ),
        { numRuns: 60 },
      );
    }
  });
});

it("lengths have one form: tenths below a minute, then minutes and seconds", () => {
  expect(plain(offText(41_340))).toBe("+41.3 s");
  expect(plain(offText(-700))).toBe("−0.7 s");
  expect(offText(59_960)).toBe("+1:00");
  expect(offText(95_000)).toBe("+1:35");
  expect(plain(afterC3Text(12.4))).toBe("C3 + 0:12");
  expect(plain(afterC3Text(-5))).toBe("C3 − 0:05");
});
