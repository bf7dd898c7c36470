/**
 * The default lists. The tables of shared/plan/safety/SPEC.md are common practice, no source;
 * the safety limits that the lists keep are tested by number in safety/.
 */
import fc from "fast-check";
import * as v from "valibot";
import { describe, expect, test } from "vitest";
import { cueDueMs, cueOccurrencesMs } from "../../../../shared/plan/cue-times.ts";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { DROP_ORDER } from "../../../../shared/plan/defaults/fit-cues.ts";
import { setUpChecksFor } from "../../../../shared/plan/defaults/set-up-checks.ts";
import { NO_ECLIPSE } from "../../../../shared/plan/local-eclipse.ts";
import { CueSchema } from "../../../../shared/plan/model/cue.ts";
import { isLookedThrough } from "../../../../shared/plan/safety/allowance.ts";
import { checkPlan, openFindings } from "../../../../shared/plan/safety/check-plan.ts";
import { anyRig, anySite, anyTotalSite, planOf, rigOf, totalSite, words } from "../sites-and-rigs.ts";

/** "C2−20 filter-off" … of the cues that come at a site. */
const lines = (kind: Parameters<typeof rigOf>[0], gets = totalSite(180), rest = {}) =>
  defaultCues(rigOf(kind, rest), gets).map(
    (cue) => `${cue.anchor}${cue.offsetS < 0 ? "" : "+"}${cue.offsetS} ${words[cue.key ?? ""]}`,
  );

describe("default cues", () => {
  test("of a tracked telescope are the table's, line by line", () => {
    expect(lines("tracked-telescope")).toEqual([
      "C1-3600 Focus. Tape the filter.",
      "C1-30 First bite soon. Filter stays on.",
      "C1+270 Partial exposure. Filter stays on.",
      "C2-600 Focus, card, battery.",
      "C2-180 Loosen the tape. Filter stays on.",
      "C2-60 Bead exposure. Hand ready.",
      "C2-20 Take the filter off.",
      "C2-12 Start the burst.",
      "C2+8 Corona brackets.",
      "max-10 Look up.",
      "max+15 Corona brackets.",
      "C3-25 Bead exposure.",
      "C3-15 Eyes down. Burst.",
      "C3+5 Put the filter on.",
      "C3+30 Filter on? Partial exposure.",
      "C3+60 Tape the filter.",
      "C4+30 Cap first. Then stop.",
      "C4+300 Away from the Sun: photograph the clock.",
    ]);
  });

  test("of a wide camera without filter are the table's, line by line", () => {
    expect(lines("wide-camera")).toEqual([
      "C2-3600 Frame it. Tape the focus.",
      "C2-900 Start. Hands off.",
      "C2-120 Does it count? Lights out.",
      "C2+5 Long bracket.",
      "max+0 Look up.",
      "C3-15 Glasses on.",
      "C3-5 Short exposure.",
      "C3+900 Stop. Cap.",
      "C4+300 Away from the Sun: photograph the clock.",
    ]);
  });

  test("ask every camera once for its clock, after C4 and after it is stopped; set-up asks before", () => {
    let cameras = 0;
    fc.assert(
      fc.property(anyRig, anySite, (rig, gets) => {
        const cues = defaultCues(rig, gets);
        const asked = cues.filter(({ id }) => id === "photograph-clock");
        const camera =
          cues.length > 0 && !rig.publicQueue && setUpChecksFor(rig).includes("clock-photographed");
        expect(asked).toHaveLength(camera ? 1 : 0);
        if (!camera) return;
        cameras++;
        expect(asked[0]).toMatchObject({ repeat: null, confirm: false });
        expect(cueDueMs(asked[0]!, gets.contacts)).toBe(gets.contacts.c4! + 300_000);
        expect(cues.at(-1)!.id).toBe("photograph-clock");
      }),
      { numRuns: 500 },
    );
    expect(cameras).toBeGreaterThan(100);
  });

  test("re-centre a tripod at C2−90, and switch a small automatic telescope's re-centring off at C2−120", () => {
    expect(lines("tripod-camera")).toContain("C2-90 Re-centre.");
    expect(lines("small-automatic-telescope")).toContain("C2-120 Automatic re-centring off.");
  });

  test("let a video camera record from C2−300 to C3+300 without a stop in between", () => {
    const cues = defaultCues(rigOf("video-camera"), totalSite(180));
    const record = cues.find((cue) => cue.action === "record");
    const stops = cues.filter((cue) => cue.action === "stop");
    expect(record).toMatchObject({ anchor: "C2", offsetS: -300 });
    expect(stops).toHaveLength(1);
    expect(stops[0]).toMatchObject({ anchor: "C3", offsetS: 300 });
  });

  test("come again every 300 s in the partial phases", () => {
    const gets = totalSite(180, 4500);
    const cues = defaultCues(rigOf("tracked-telescope"), gets);
    const times = (id: string) =>
      cueOccurrencesMs(cues.find((cue) => cue.id === id)!, gets.contacts).map(
        (ms) => (ms - gets.contacts.c1!) / 1000,
      );
    expect(times("partial-before").slice(0, 3)).toEqual([270, 570, 870]);
    expect(times("partial-before").at(-1)).toBeLessThanOrEqual(4500 - 640);
    expect(times("partial-after").length).toBeGreaterThan(10);
  });

  test("in a totality of more than 150 s run the brackets twice and re-centre a tripod at C3−60 too", () => {
    for (const kind of ["tracked-telescope", "small-automatic-telescope", "tripod-camera"] as const) {
      expect(lines(kind, totalSite(180))).toContain("max+15 Corona brackets.");
      expect(lines(kind, totalSite(150))).not.toContain("max+15 Corona brackets.");
    }
    expect(lines("tracked-telescope", totalSite(150.1))).toContain("max+15 Corona brackets.");
    expect(lines("tripod-camera", totalSite(150.1))).toContain("C3-60 Re-centre.");
    expect(lines("tripod-camera", totalSite(150))).not.toContain("C3-60 Re-centre.");
    expect(lines("tracked-telescope", totalSite(400))).not.toContain("C3-60 Re-centre.");
  });

  test("tape again, at C3+60, every filter that came off, and ask for it at C3+30", () => {
    fc.assert(
      fc.property(anyRig, anyTotalSite, (rig, gets) => {
        const cues = defaultCues(rig, gets);
        const said = cues.map((cue) => `${cue.anchor}+${cue.offsetS} ${words[cue.key ?? ""]}`);
        const off = cues.some((cue) => cue.action === "filter-off");
        expect(said.includes("C3+60 Tape the filter.")).toBe(off);
        expect(said.some((line) => line.startsWith("C3+30 Filter on?"))).toBe(off);
      }),
      { numRuns: 500 },
    );
    expect(words["cue.tape.touch"]).toMatch(/^Touch/);
  });

  test("call the eyes of everybody down by C3−15, whatever had to be dropped", () => {
    const down = ["glasses-on", "eyes-away"];
    fc.assert(
      fc.property(anyRig, anyTotalSite, (rig, gets) => {
        fc.pre(gets.totalityS >= 15 && !(rig.unattended && rig.kind !== "wide-camera"));
        const calls = defaultCues(rig, gets).filter(
          (cue) => cue.anchor === "C3" && cue.offsetS <= -15 && cue.offsetS + cue.latestS <= -3,
        );
        expect(calls.some((cue) => down.includes(cue.action) || cue.key === "cue.burst-after")).toBe(true);
      }),
      { numRuns: 1000 },
    );
  });

  test("of whoever looks through put the glasses on at C3−15, after the eyes are away", () => {
    for (const kind of ["visual-telescope", "binocular"] as const)
      for (const s of [40, 60, 200]) {
        const said = lines(kind, totalSite(s));
        const away = said.findIndex((line) => line.endsWith("Eyes away from the optics."));
        expect(said.indexOf("C3-15 Glasses on.")).toBeGreaterThan(away);
        expect(away).toBeGreaterThan(0);
      }
  });

  test("send whoever looks through, where the filter stays on, away from the eyepiece once totality is there", () => {
    const queue = lines("visual-telescope", totalSite(200), { publicQueue: true });
    const short = lines("binocular", totalSite(35));
    for (const said of [queue, short]) {
      expect(said).toContain("C2+3 Leave the eyepiece. Look up.");
      expect(said).toContain("C3-15 Glasses on.");
      expect(said.join()).not.toMatch(/[Bb]urst|Bead|Take the filter off|until the cue/);
    }
    expect(short).toContain("C2-120 Filter firm? It stays on.");
  });

  test("ask for no burst and no bead exposure where the filter never comes off", () => {
    fc.assert(
      fc.property(anyRig, anyTotalSite, (rig, gets) => {
        fc.pre(rig.filter === "front");
        const cues = defaultCues(rig, gets);
        if (cues.some((cue) => cue.action === "filter-off")) return;
        for (const cue of cues) {
          expect(cue.action).not.toBe("burst");
          expect(cue.id).not.toMatch(/^(bead|loosen|corona|retape)/);
        }
      }),
      { numRuns: 500 },
    );
  });

  test("are none where nothing of the eclipse is seen", () => {
    fc.assert(fc.property(anyRig, (rig) => defaultCues(rig, NO_ECLIPSE).length === 0));
  });

  test("ask to confirm filters and caps only", () => {
    fc.assert(
      fc.property(anyRig, anySite, (rig, gets) => {
        for (const cue of defaultCues(rig, gets))
          if (cue.confirm) expect(["filter-off", "filter-on", "cap"]).toContain(cue.action);
      }),
    );
  });

  test("are well-formed, sorted by time, with ids of their own and words for every key", () => {
    fc.assert(
      fc.property(anyRig, anySite, (rig, gets) => {
        const cues = defaultCues(rig, gets);
        for (const cue of cues) {
          v.parse(CueSchema, cue);
          expect(words).toHaveProperty([cue.key ?? ""]);
        }
        expect(new Set(cues.map((cue) => cue.id)).size).toBe(cues.length);
        const due = cues.map((cue) => cueDueMs(cue, gets.contacts));
        expect(due).not.toContain(null);
        expect(due).toEqual([...due].sort((a, b) => (a ?? 0) - (b ?? 0)));
      }),
    );
  });

  test("never break a rule, for any rig at any site (S1–S14)", () => {
    fc.assert(
      fc.property(anyRig, anySite, (rig, gets) => {
        const cues = defaultCues(rig, gets);
        const found = openFindings(checkPlan(planOf({ ...rig, cues }), gets));
        // A rig that ought to have a filter and has none is the lead's to mend, not the list's.
        expect(found.filter((one) => one.code !== "no-filter-on-optics")).toEqual([]);
      }),
      { numRuns: 1000 },
    );
  });

  test("never want the hands of one rig for two things at once", () => {
    fc.assert(
      fc.property(anyRig, anySite, (rig, gets) => {
        const held = defaultCues(rig, gets)
          .filter((cue) => cue.handsS > 0)
          .flatMap((cue) =>
            cueOccurrencesMs(cue, gets.contacts).map((ms) => ({
              id: cue.id,
              from: ms,
              to: ms + cue.handsS * 1000,
            })),
          )
          .sort((a, b) => a.from - b.from);
        for (const [i, one] of held.slice(1).entries()) {
          const before = held[i]!;
          expect(one.from, `${before.id} and ${one.id}`).toBeGreaterThanOrEqual(before.to);
        }
      }),
      { numRuns: 500 },
    );
  });

  test("always put a filter on that they take off, however short totality is", () => {
    fc.assert(
      fc.property(anyRig, anyTotalSite, (rig, gets) => {
        const actions = defaultCues(rig, gets).map((cue) => cue.action);
        if (actions.includes("filter-off")) expect(actions).toContain("filter-on");
      }),
      { numRuns: 500 },
    );
    expect(DROP_ORDER).not.toContain("filter-on");
    expect(DROP_ORDER).not.toContain("eyes-away");
    expect(DROP_ORDER.at(-1)).toBe("filter-off");
  });

  test("give up cues in the stated order when totality is short", () => {
    const ids = (totalityS: number) =>
      defaultCues(rigOf("tracked-telescope"), totalSite(totalityS)).map((cue) => cue.id);
    const full = ids(180);
    let before = full;
    for (const totalityS of [180, 80, 60, 40, 30, 20, 10, 3, 0.5]) {
      const now = ids(totalityS);
      // Where the burst that brings the eyes down is gone, glasses take its place.
      const words = now.filter((id) => id !== "glasses-on");
      expect(words.every((id) => full.includes(id))).toBe(true);
      expect(words.length).toBeLessThanOrEqual(before.length);
      expect(now.includes("glasses-on")).toBe(!now.includes("burst-after") && totalityS >= 15);
      expect(now).toEqual(expect.arrayContaining(["filter-off", "filter-on", "burst-before"]));
      before = words;
    }
    expect(ids(60)).not.toContain("look-up");
    expect(ids(30)).toContain("corona-brackets");
    expect(ids(30)).not.toContain("burst-after");
    expect(ids(3)).not.toContain("corona-brackets");
  });

  test("stand in the drop order under their own ids, or are never dropped", () => {
    const known = new Set([...DROP_ORDER, "filter-on", "eyes-away", "glasses-on", "projection-cap"]);
    fc.assert(
      fc.property(anyRig, anySite, (rig, gets) => {
        for (const cue of defaultCues(rig, gets)) expect(known).toContain(cue.id);
      }),
    );
  });

  test("take a telescope by its nature as looked through", () => {
    expect(isLookedThrough(rigOf("visual-telescope"))).toBe(true);
    expect(isLookedThrough(rigOf("binocular"))).toBe(true);
    expect(isLookedThrough(rigOf("tripod-camera"))).toBe(false);
    expect(isLookedThrough(rigOf("tripod-camera", { lookedThrough: true }))).toBe(true);
  });
});
