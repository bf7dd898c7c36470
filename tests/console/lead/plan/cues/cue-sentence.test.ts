/** A cue as a sentence, in every language: the parts that people must not get wrong are there. */
import "../../../../../console/words/bundles/common.ts";
import "../../../../../console/words/bundles/plan.ts";
import { afterEach, describe, expect, it } from "vitest";
import {
  cueSentence,
  sentenceText,
  windowWords,
} from "../../../../../console/lead/plan/cues/cue-sentence.ts";
import { loadWords, locales } from "../../../../../console/words/words.ts";
import { defaultCues } from "../../../../../shared/plan/defaults/default-cues.ts";
import type { Cue } from "../../../../../shared/plan/model/cue.ts";
import { RIG_KINDS } from "../../../../../shared/plan/model/vocabulary.ts";
import { partialSite, rigOf, totalSite } from "../../../../shared/plan/sites-and-rigs.ts";

const site = totalSite(180);
const listOf = (kind: (typeof RIG_KINDS)[number]) => defaultCues(rigOf(kind), site);
const filterOff = listOf("tracked-telescope").find(({ id }) => id === "filter-off") as Cue;

describe("a cue as a sentence", () => {
  afterEach(() => loadWords("en"));

  it("says when, how exactly, what, and what it asks of hands", () => {
    const cue = { ...filterOff, earliestS: -10, latestS: 10, handsS: 5 };
    expect(sentenceText(cue)).toBe(
      "20 s before C2, within 10 s: Take the filter off. 5 s of hands, the operator confirms, counted in from 10 s.",
    );
  });

  it("says that it takes two people and a tool", () => {
    const cue: Cue = { ...filterOff, confirm: false, countInS: 0, people: 2, tool: "Hex key" };
    expect(sentenceText(cue)).toContain("6 s of hands, two people · tool: Hex key.");
  });

  it("tells an even window from one that is longer on one side, and from none", () => {
    const windows = [
      [-10, 10],
      [-6, 8],
      [0, 30],
      [-90, 0],
      [0, 0],
    ].map(([earliestS, latestS]) => windowWords({ earliestS: earliestS ?? 0, latestS: latestS ?? 0 }));
    expect(windows).toEqual([
      "within 10 s",
      "from 6 s earlier to 8 s later",
      "or up to 30 s later",
      "or up to 1 min 30 s earlier",
      "",
    ]);
  });

  it("says a repeat, camera settings, and a note beside a filter cue, and that a cue is left out", () => {
    const series: Cue = {
      ...filterOff,
      say: "Gloves off",
      on: false,
      confirm: false,
      countInS: 0,
      handsS: 0,
      repeat: { everyS: 300, until: { anchor: "C4", offsetS: -60 } },
      camera: { exposuresS: [0.008], iso: 200, fNumber: 8 },
    };
    expect(sentenceText(series)).toBe(
      "Left out: 20 s before C2, from 10 s earlier to 30 s later: Take the filter off. " +
        "Again every 5 min until 1 min before C4, 1/125 s · ISO 200 · f/8, beside it: “Gloves off”.",
    );
  });

  it("says with what it goes along, by that cue's own words", () => {
    const burst = { ...filterOff, id: "burst", action: "burst" as const, key: "cue.burst-before" };
    const glove = (byS: number): Cue => ({
      ...filterOff,
      along: { cueId: "burst", byS },
      earliestS: 0,
      latestS: 0,
    });
    const said = [-15, 0, 90].map((byS) => cueSentence(glove(byS), [burst]).when);
    expect(said).toEqual([
      "15 s before “Start the burst.”:",
      "Together with “Start the burst.”:",
      "1 min 30 s after “Start the burst.”:",
    ]);
    // Where that cue is gone it stands by itself.
    expect(cueSentence(glove(-15), []).when).toBe("20 s before C2:");
  });

  it("has no gap in any language for any cue of any usual list", async () => {
    for (const locale of locales) {
      await loadWords(locale);
      for (const kind of RIG_KINDS)
        for (const gets of [site, partialSite()])
          for (const cue of defaultCues(rigOf(kind), gets)) {
            const { when, words, about } = cueSentence(cue);
            const all = `${when} ${words} ${about}`;
            expect(all, `${locale} ${cue.id}`).not.toMatch(/\{|\}|undefined|cues?\.[a-z]/);
            expect(when).toMatch(/: ?$|:$/);
            expect(when).toContain(/^C\d$/.test(cue.anchor) ? cue.anchor : "");
            // Minutes and seconds of the offset are figures in every language.
            const s = Math.abs(cue.offsetS) % 60;
            if (s !== 0) expect(when).toContain(String(s));
          }
    }
  });

  it("is another one in every language", async () => {
    const said = new Set<string>();
    for (const locale of locales) {
      await loadWords(locale);
      said.add(sentenceText(filterOff));
    }
    expect(said.size).toBe(locales.length);
  });
});
