import "../../../console/words/bundles/common.ts";
import "../../../console/words/bundles/plan.ts";
import { renderToStaticMarkup } from "react-dom/server";
import { describe, expect, it } from "vitest";
import { AlertLine } from "../../../console/parts/alert-line.tsx";
import { countdownFace } from "../../../console/parts/countdown.tsx";
import { CoverScreen } from "../../../console/parts/cover-screen.tsx";
import { FilterMark } from "../../../console/parts/filter-mark.tsx";
import { LinkLine } from "../../../console/parts/link-line.tsx";
import { PracticeBanner } from "../../../console/parts/practice-banner.tsx";
import { practiceSentence } from "../../../console/parts/practice-sentence.ts";
import { TimeLine } from "../../../console/parts/time-line.tsx";
import { anchorWords, offsetWords } from "../../../console/parts/words-for-anchor.ts";
import { cueNote, cueWords, putWords } from "../../../console/parts/words-for-cue.ts";
import { lengthWords } from "../../../console/parts/words-for-length.ts";
import type { Cue } from "../../../shared/plan/model/cue.ts";
import type { FilterState } from "../../../shared/run/facts/filter-state.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";

const words = (markup: string) =>
  markup
    .replace(/<[^>]*>/g, " ")
    .replace(/\s+/g, " ")
    .trim();
const states: FilterState[] = ["on", "off", "unknown", "capped", "none by design"];

describe("the filter's mark", () => {
  it("says every state by its word and by a shape of its own", () => {
    const shapes = states.map((state) => renderToStaticMarkup(<FilterMark state={state} />));
    expect(shapes.map(words)).toEqual(["ON", "OFF", "UNKNOWN", "CAPPED", "NONE BY DESIGN"]);
    const drawn = shapes.map((markup) => markup.match(/<svg.*<\/svg>/)?.[0]);
    expect(new Set(drawn).size).toBe(states.length);
  });

  it("is heavier and says so when OFF is exposed, and only then", () => {
    const calm = renderToStaticMarkup(<FilterMark state="off" />);
    const exposed = renderToStaticMarkup(<FilterMark state="off" exposed />);
    const width = (markup: string) => Number(markup.match(/stroke-width="([\d.]+)"/)?.[1]);
    expect(width(exposed)).toBeGreaterThan(width(calm));
    expect(words(exposed)).toBe("OFF in sunlight");
    expect(words(renderToStaticMarkup(<FilterMark state="on" exposed />))).toBe("ON");
  });
});

describe("the truth line", () => {
  const line = (props: Partial<Parameters<typeof LinkLine>[0]>) =>
    words(
      renderToStaticMarkup(
        <LinkLine linkState="linked" sinceUtcMs={null} boundMs={7.3} utcBoundMs={20} {...props} />,
      ),
    );

  it("says how well the clock is known while linked", () => {
    expect(line({})).toBe("Linked · within 8 ms of the hub · hub within 20 ms of UTC");
  });

  it("says since when it is alone, on whose clock, and what waits", () => {
    const since = Date.UTC(2027, 7, 2, 10, 1, 40);
    expect(line({ linkState: "alone", sinceUtcMs: since, utcBoundMs: null, queued: 2 })).toBe(
      "Alone since 10:01:40 UTC · own clock, within 8 ms of the hub · 2 reports wait",
    );
    expect(line({ linkState: "alone", sinceUtcMs: since, boundMs: null, utcBoundMs: null, queued: 1 })).toBe(
      "Alone since 10:01:40 UTC · 1 report waits",
    );
  });

  it("leaves out a bound that nobody knows", () => {
    const unknown = { boundMs: Number.POSITIVE_INFINITY, utcBoundMs: null };
    expect(line({ linkState: "catching up", ...unknown })).toBe("Catching up");
    expect(line({ linkState: "never linked", ...unknown, practice: true })).toBe(
      "Practice · Never linked to the hub",
    );
  });
});

describe("words of a cue", () => {
  const cue = { key: "cue.filter-off", say: null, action: "filter-off" } as const;

  it("are the lead's own, else the catalogue's", () => {
    expect(cueWords({ key: "cue.burst", say: null, action: "burst" })).toBe("Burst.");
    expect(cueWords({ key: "cue.burst", say: "Ten frames", action: "burst" })).toBe("Ten frames");
  });

  const put = (
    cue: Pick<Cue, "key" | "say" | "action">,
    rest: Partial<Parameters<typeof putWords>[0]> = {},
  ) => {
    const plain = { mode: "plain", ownWords: "headline", exposed: false, lookedThrough: false } as const;
    return { ...plain, cue: cue as Cue, ...rest };
  };

  it("of a filter cue say what it does, and the lead's own stand beside it, so that none can contradict it", () => {
    expect(putWords(put(cue))).toBe("Take the filter off.");
    expect(cueNote(put(cue))).toBe("");
    const on = { key: "cue.filter-on", say: "Leave the filter off", action: "filter-on" } as const;
    expect(putWords(put(on, { ownWords: "note" }))).toBe("Put the filter on.");
    expect(cueNote(put(on, { ownWords: "note" }))).toBe("Leave the filter off");
    expect(cueWords({ ...on, key: "cue.filter-off" })).toBe("Put the filter on.");
    expect(cueNote(put({ key: null, say: "Ten frames", action: "burst" }))).toBe("");
  });

  it("S14: of a lead's own cue while the Sun is bare say that filter or glasses stay on", () => {
    const own = put({ key: null, say: "Take the filter off.", action: "burst" }, { ownWords: "note" });
    expect(putWords(own)).toBe("Filter stays on.");
    expect(cueNote(own)).toBe("Take the filter off.");
    expect(putWords({ ...own, ownWords: "note, glasses" })).toBe("Glasses stay on.");
  });

  it("S1: eyes first where open optics are looked through", () => {
    const on = { key: "cue.filter-on", say: null, action: "filter-on" } as const;
    expect(putWords(put(on, { exposed: true, lookedThrough: true }))).toBe("Eyes away. Filter on.");
    expect(putWords(put(on, { exposed: true }))).toBe("Put the filter on.");
  });

  // S8: filter cues of a practice say "Touch the filter, leave it on".
  it("never ask for the filter in a practice under the real Sun, whatever the lead wrote (S8)", () => {
    const touch = { mode: "touch", ownWords: "note" } as const;
    for (const action of ["filter-off", "filter-on"] as const)
      for (const say of [null, "Lid away"])
        for (const key of [`cue.${action}`, "cue.of-their-own", null])
          expect(putWords(put({ key, say, action }, touch))).toMatch(/^Touch the filter/);
    expect(putWords(put({ key: "cue.loosen-tape", say: null, action: "tape" }, touch))).toMatch(
      /leave it on/,
    );
  });

  // S5: filter-off cues become "by eye only"; S13: "look up" is a call of the eye, too.
  it("say that only the eye decides on what unfilters in doubt (S5), and never “look up” in practice (S13)", () => {
    expect(putWords(put({ ...cue, say: "Lid away" }, { mode: "by-eye", ownWords: "note" }))).toMatch(
      /by eye/i,
    );
    const look = { key: "cue.look-up", say: null, action: "hands-off" } as const;
    expect(putWords(put(look))).toBe("Look up.");
    expect(putWords(put(look, { mode: "by-eye" }))).toMatch(/^If you see totality/);
    for (const mode of ["rehearsed", "stay", "covered", "revoked"] as const)
      expect(putWords(put(look, { mode }))).not.toMatch(/look up/i);
  });
});

describe("words of an anchor", () => {
  it("say an offset as people do, also from the place's own moments", () => {
    expect(offsetWords("C2", -20)).toBe("20 s before C2");
    expect(offsetWords("C3", 5)).toBe("5 s after C3");
    expect(offsetWords("C1", -3600)).toBe("1 h before C1");
    expect(offsetWords("C1", -5400)).toBe("1 h 30 min before C1");
    expect(offsetWords("max", 0)).toBe("at maximum");
    expect(offsetWords("sunLost", -120)).toBe("2 min before Sun lost");
    expect(anchorWords("beadsC3")).toBe("last bead");
  });
});

describe("other parts", () => {
  it("count up after the instant only when asked", () => {
    expect(countdownFace(10_000, 4000, "hold")).toBe("0:06");
    expect(countdownFace(10_000, 16_500, "hold")).toBe("0:00");
    expect(countdownFace(10_000, 16_500, "up")).toBe("+0:06");
    expect(countdownFace(null, 0, "up")).toBe("–:––");
  });

  it("give an alert its word and its own shape (ISO 22324: colour is never alone)", () => {
    const drawn = (["danger", "caution", "advice"] as const).map((priority) =>
      renderToStaticMarkup(<AlertLine priority={priority} title="Kite is open in sunlight" />),
    );
    expect(drawn.map(words)).toEqual([
      "Danger Kite is open in sunlight",
      "Caution Kite is open in sunlight",
      "Advice Kite is open in sunlight",
    ]);
    expect(new Set(drawn.map((markup) => markup.match(/ d="([^"]+)"/)?.[1])).size).toBe(3);
  });

  it("mark practice by a word and a frame, not by colour alone", () => {
    const markup = renderToStaticMarkup(
      <PracticeBanner sentence="Filters stay on." rate={4} endsText="12:00 UTC" />,
    );
    expect(markup).toContain("practice-frame");
    expect(words(markup)).toBe("PRACTICE × 4 Filters stay on. Ends by itself at 12:00 UTC, real time.");
  });

  it("say of filters in a practice what the phones say (S8)", () => {
    const [rig, bare] = ["west", "wide"].map((id) =>
      SiteWorld.planned().state.plan.rigs.find((one) => one.id === id),
    );
    if (!rig || !bare) throw new Error("the plan lacks a rig");
    const says = (...touchOnly: boolean[]) =>
      practiceSentence([
        { rig: bare, touchOnly: true },
        ...touchOnly.map((one) => ({ rig, touchOnly: one })),
      ]);
    expect(says(true, true)).toBe("practice.sentence");
    expect(says(true, false)).toBe("practice.sentenceSome");
    expect(says(false, false)).toBe("practice.sentenceSafe");
  });

  // S7 gives the words.
  it("say “Cover every lens. Glasses on.” and offer no way out of their own (S7)", () => {
    const markup = renderToStaticMarkup(<CoverScreen />);
    expect(words(markup)).toContain("Cover every lens. Glasses on.");
    expect(markup).not.toContain("<button");
  });

  it("draw one track per rig under one present", () => {
    const contacts = { c1: 0, c2: 4_560_000, max: 4_685_500, c3: 4_811_000, c4: 9_600_000 };
    const cues = [{ id: "filter-off", dueMs: 4_540_000, fromMs: 4_530_000, toMs: 4_550_000, handsS: 10 }];
    const markup = renderToStaticMarkup(
      <TimeLine
        contacts={contacts}
        runNow={4_000_000}
        rows={[
          { id: "heron", label: "Heron", cues },
          { id: "wren", label: "Wren", cues },
        ]}
      />,
    );
    expect(markup.match(/time-line-inner/g)).toHaveLength(2);
    expect(markup.match(/time-line-present/g)).toHaveLength(1);
    expect(markup).toContain("Time line: C1 00:00:00, C2 01:16:00, max 01:18:05, C3 01:20:11, C4 02:40:00");
  });

  it("put lengths into words", () => {
    expect([251, 40, 240, 4860].map(lengthWords)).toEqual(["4 min 11 s", "40 s", "4 min", "1 h 21 min"]);
  });
});
