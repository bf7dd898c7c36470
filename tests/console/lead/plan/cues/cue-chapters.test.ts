/** Under which heading a cue stands, at a total, an annular and a partial site. */
import "../../../../../console/words/bundles/common.ts";
import "../../../../../console/words/bundles/cues.ts";
import { afterEach, describe, expect, it } from "vitest";
import { CHAPTERS, chapterAt, chaptersOf } from "../../../../../console/lead/plan/cues/cue-chapters.ts";
import { isWordKey, loadWords, locales, t } from "../../../../../console/words/words.ts";
import { defaultCues } from "../../../../../shared/plan/defaults/default-cues.ts";
import { C2_MS, partialSite, rigOf, totalSite } from "../../../../shared/plan/sites-and-rigs.ts";

const { contacts } = totalSite(180);
const at = (offsetS: number) => chapterAt(C2_MS + offsetS * 1000, contacts);

describe("headings of what happens", () => {
  afterEach(() => loadWords("en"));

  it("follow the eclipse from before the first bite to after the last", () => {
    // C1 is 4500 s before C2, C3 180 s after it, C4 4680 s after it.
    expect([-4600, -4400, -601, -600, -61, -60, 10, 11, 149, 150, 240, 241, 4680, 4681].map(at)).toEqual([
      "before",
      "partial",
      "partial",
      "lastTen",
      "lastTen",
      "c2",
      "c2",
      "totality",
      "totality",
      "c3",
      "c3",
      "after",
      "after",
      "over",
    ]);
  });

  it("speak of the maximum where there is no C2", () => {
    const { max } = partialSite().contacts;
    const of = (offsetS: number) => chapterAt((max ?? 0) + offsetS * 1000, partialSite().contacts);
    expect([-601, -61, -60, 60, 61].map(of)).toEqual(["partial", "lastTen", "max", "max", "after"]);
  });

  it("leave nothing of a short totality without a heading, and nothing under two", () => {
    const short = totalSite(30).contacts;
    const names = Array.from({ length: 41 }, (_, s) => chapterAt(C2_MS + (s - 5) * 1000, short));
    expect(names.filter((name, n) => name !== names[n - 1])).toEqual(
      ["c2", "totality", "c3"].filter((name) => names.includes(name as never)),
    );
  });

  it("put a cue whose contact does not come here under a heading of its own, last", () => {
    const cues = defaultCues(rigOf("tracked-telescope"), totalSite(180));
    const chapters = chaptersOf(cues, partialSite().contacts);
    expect(chapters.at(-1)?.name).toBe("never");
    expect(chapters.at(-1)?.cues.every(({ cue }) => cue.anchor === "C2" || cue.anchor === "C3")).toBe(true);
    expect(chapters.reduce((sum, chapter) => sum + chapter.cues.length, 0)).toBe(cues.length);
  });

  it("hold the cues in the order in which they come", () => {
    for (const { cues } of chaptersOf(defaultCues(rigOf("tripod-camera"), totalSite(180)), contacts)) {
      const due = cues.map(({ dueMs }) => dueMs ?? 0);
      expect(due).toEqual([...due].sort((a, b) => a - b));
    }
  });

  it("have words in every language, each of its own", async () => {
    for (const locale of locales) {
      await loadWords(locale);
      const said = CHAPTERS.map((name) => {
        expect(isWordKey(`cues.chapter.${name}`)).toBe(true);
        return t(`cues.chapter.${name}`, { anchor: name });
      });
      expect(new Set(said).size).toBe(CHAPTERS.length);
    }
  });
});
