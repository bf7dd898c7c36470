/**
 * The board's safety line against the rules it quotes (S1, S2, S5, S7, S8, S13). The frame is
 * NASA's eye-safety text and the joint NASA/AAS statement: filters at all times except in totality
 * inside the path. C3−15 s is common practice, no source. The sites are computed, their names invented.
 */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  boardView as boardAt,
  glassesOnAfter,
  type SafetyLine,
  windOf,
} from "../../../console/board/board-view.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import { localEclipse } from "../../../shared/plan/local-eclipse.ts";
import type { BoardSnapshot } from "../../../shared/protocol/messages.ts";
import { later, type RunMs, runMs, utcMs } from "../../../shared/time/instants.ts";

function snapshot(id: string, latDeg: number, lonDeg: number): BoardSnapshot {
  const elements = eclipseById(id);
  if (!elements) throw new Error(`no elements for ${id}`);
  const c = circumstances(elements, { latDeg, lonDeg, heightM: 100 });
  const at = (name: "c1" | "c2" | "max" | "c3" | "c4") => {
    const contact = c.contacts[name];
    return contact ? runMs(contact.utcMs) : null;
  };
  const contacts = {
    c1: at("c1"),
    c2: at("c2"),
    max: at("max"),
    c3: at("c3"),
    filterC3: at("c3"),
    safeC3: at("c3"),
    c4: at("c4"),
  };
  return {
    revision: 1,
    siteName: "Ochre Ridge",
    group: "",
    zone: "UTC",
    latDeg,
    lonDeg,
    eclipse: id,
    kind: localEclipse(c).kind,
    visible: c.visible,
    contacts,
    realContacts: contacts,
    magnitude: c.magnitude,
    ratio: c.ratio,
    obscuration: c.obscuration,
    positionAngles: {
      c1: c.contacts.c1?.positionAngleDeg ?? null,
      c4: c.contacts.c4?.positionAngleDeg ?? null,
    },
    practice: null,
    cover: false,
    calledTotalityMs: null,
    calledReturnMs: null,
    stayFiltered: false,
    doubtS: 1,
    sky: [],
    skySeen: null,
  };
}

const total = snapshot("2027-08-02", 25.5, 33);
const partial = snapshot("2027-08-02", 43.4, 7);
const annular = snapshot("2028-01-26", 3, -51.5);
const nothing = snapshot("2027-08-02", -60, 170);
const { c1, c2, c3, c4 } = total.contacts as Record<"c1" | "c2" | "c3" | "c4", RunMs>;
const boardView = (board: BoardSnapshot, at: number, known: Parameters<typeof boardAt>[2]) =>
  boardAt(board, utcMs(at), known);
const called: BoardSnapshot = { ...total, calledTotalityMs: later(c2, 1500) };
const heard = (boundMs = 0) => ({ boundMs, linked: true, cover: false });
const lineAt = (board: BoardSnapshot, at: number, boundMs = 0) => boardView(board, at, heard(boundMs)).safety;

describe("glasses at a total site", () => {
  it("go on by the prediction though the lead shifted C3 later (S5, S13)", () => {
    const shifted = { ...called, contacts: { ...called.contacts, c3: later(c3, 20_000) } };
    expect(lineAt(shifted, c3 - 16_000)).toBe("off");
    expect(lineAt(shifted, c3 - 14_000)).not.toBe("off");
  });

  it("come off only by eye call, never by the clock (S13)", () => {
    expect(total.kind).toBe("total");
    for (let at = c1 - 60_000; at < c4 + 60_000; at += 4977) expect(lineAt(total, at)).not.toBe("off");
    expect(boardView(total, c2 + 1000, heard()).phase).toBe("due");
    expect(lineAt(total, c2 + 1000)).toBe("wait");
  });

  it("come off from the call until C3−15 s by the clock (S13)", () => {
    expect(lineAt(called, c2 + 1499)).not.toBe("off");
    expect(lineAt(called, c2 + 1500)).toBe("off");
    expect(lineAt(called, c3 - 15_001)).toBe("off");
    expect(lineAt(called, c3 - 15_000)).toBe("onNow");
    expect(lineAt(called, c3 - 1)).toBe("onNow");
    expect(lineAt(called, c3)).toBe("on");
    expect(boardView(called, c2 + 60_000, heard()).next).toEqual({ step: "glassesOn", atRunMs: c3 - 15_000 });
  });

  it("are on again earlier by what the clock may be off (S5)", () => {
    expect(lineAt(called, c3 - 17_001, 2000)).toBe("off");
    expect(lineAt(called, c3 - 17_000, 2000)).toBe("onNow");
    expect(boardView(called, c2 + 60_000, heard(Number.POSITIVE_INFINITY))).toMatchObject({
      phase: "due",
      safety: "wait",
    });
  });

  it("are on again earlier by the doubt that is left, and then it does not say that the Sun is back", () => {
    const doubted = { ...called, contacts: { ...called.contacts, safeC3: later(c3, -190_000) } };
    expect(lineAt(doubted, c3 - 205_001)).toBe("off");
    expect(boardView(doubted, c3 - 205_000, heard())).toMatchObject({
      phase: "ending",
      safety: "onNow",
      glasses: "on",
    });
    expect(boardView(doubted, c3 - 15_000, heard()).phase).toBe("returning");
  });

  it("stay on once that was said, though the doubt has gone, until totality is called anew (S13)", () => {
    const doubted = { ...called, contacts: { ...called.contacts, safeC3: later(c3, -10_000) } };
    const at = c3 - 22_000;
    const before = boardView(doubted, c3 - 40_000, heard());
    expect(before.glasses).toBe("off");
    expect(glassesOnAfter(before, doubted, null)).toBeNull();
    const kept = glassesOnAfter(boardView(doubted, at, heard()), doubted, null);
    expect(kept).toBe(called.calledTotalityMs);
    // The clock is known again: by it there are 7 s left.
    expect(boardView(called, at, heard()).glasses).toBe("off");
    const still = boardView(called, at, { ...heard(), onAfterCallMs: kept });
    expect(still).toMatchObject({ phase: "ending", safety: "onNow", glasses: "on" });
    expect(glassesOnAfter(still, called, kept)).toBe(kept);
    const anew = { ...called, calledTotalityMs: later(c3, -30_000) };
    expect(boardView(anew, at, { ...heard(), onAfterCallMs: kept }).glasses).toBe("off");
  });

  it("are on wherever the hub is not heard, and while every lens is covered (S7, S13)", () => {
    const at = c2 + 60_000;
    expect(boardView(called, at, heard()).glasses).toBe("off");
    expect(boardView(called, at, { ...heard(), linked: false })).toMatchObject({
      phase: "due",
      safety: "alone",
      glasses: "on",
    });
    expect(boardView(called, at, { ...heard(), cover: true }).glasses).toBe("on");
  });

  it("are on at once when the lead calls the Sun's return, or says to stay filtered", () => {
    expect(lineAt({ ...called, calledReturnMs: later(c2, 50_000) }, c2 + 60_000)).not.toBe("off");
    expect(lineAt({ ...called, stayFiltered: true }, c2 + 60_000)).toBe("stay");
    expect(lineAt({ ...total, stayFiltered: true }, c2 - 60_000)).toBe("stay");
  });

  it("are never off outside C2 to C3, whatever was called and whatever the clock's bound (S1)", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: Math.floor(c1) - 1e6, max: Math.ceil(c4) + 1e6 }),
        fc.option(fc.integer({ min: Math.ceil(c2), max: Math.floor(c3) }).map(runMs), { nil: null }),
        fc.option(fc.integer({ min: Math.ceil(c2), max: Math.floor(c4) }).map(runMs), { nil: null }),
        fc.integer({ min: 0, max: 5000 }),
        (at, calledTotalityMs, calledReturnMs, boundMs) => {
          const view = boardView({ ...total, calledTotalityMs, calledReturnMs }, at, heard(boundMs));
          if (view.safety === "off") {
            expect(at).toBeGreaterThanOrEqual(c2);
            expect(at).toBeLessThan(c3 - 15_000);
            expect(calledReturnMs).toBeNull();
          }
        },
      ),
      { numRuns: 500 },
    );
  });
});

describe("glasses elsewhere", () => {
  it("stay on throughout at a partial and at an annular site, even after a call (S2)", () => {
    expect([partial.kind, annular.kind]).toEqual(["partial", "annular"]);
    for (const site of [partial, annular]) {
      const from = site.contacts.c1!;
      const to = site.contacts.c4!;
      const board = { ...site, calledTotalityMs: from };
      for (let at = from - 60_000; at < to; at += 29_973) expect(lineAt(board, at)).toBe("onThroughout");
    }
  });

  it("stay on where totality is below the horizon, whatever the geometry says (S2)", () => {
    // Such a site is "partial" with C2 and C3 of the geometry still in its contacts.
    const cut: BoardSnapshot = { ...called, kind: "partial" };
    const view = boardView(cut, c2 + 60_000, heard());
    expect(view.safety).toBe("onThroughout");
    expect(view.contacts.c2).toBeNull();
    expect(view.phase).toBe("covering");
  });

  it("are not asked for where nothing is seen, and the caution stands", () => {
    expect(nothing.kind).toBe("none");
    for (const at of [c1, c2, c4]) expect(lineAt(nothing, at)).toBe("always");
    expect(boardView({ ...nothing, kind: "unset" }, c1, heard()).phase).toBe("unset");
    expect(boardView({ ...nothing, magnitude: 0.4 }, c1, heard()).phase).toBe("below");
    expect(boardView(total, c4, heard())).toMatchObject({ phase: "after", safety: "always", next: null });
  });
});

describe("a practice run", () => {
  const startedUtcMs = utcMs(c1 - 90_000_000);
  const practice = {
    startedUtcMs,
    startRunMs: later(c2, -10_000),
    rate: 2,
    endsAtUtcMs: later(startedUtcMs, 600_000),
  };
  const board: BoardSnapshot = { ...called, practice };

  it("runs its own time, shifted and scaled", () => {
    const view = boardView(board, startedUtcMs + 3000, heard());
    expect(view.runNowMs).toBe(c2 - 4000);
    expect(view.practice).toEqual({ rate: 2, endsAtUtcMs: practice.endsAtUtcMs });
    expect(view.next).toEqual({ step: "totality", atRunMs: c2 });
  });

  it("never tells anybody to take glasses off under the real Sun (S8)", () => {
    expect(boardView(board, startedUtcMs + 30_000, heard())).toMatchObject({
      phase: "totality",
      safety: "offPractice",
    });
    for (let at: number = startedUtcMs; at < practice.endsAtUtcMs; at += 499)
      expect(lineAt(board, at)).not.toBe("off");
  });

  it("is ended by the page itself at its latest end, and its calls with it (S8)", () => {
    const view = boardView(board, practice.endsAtUtcMs, heard());
    expect(view.practice).toBeNull();
    expect(view.runNowMs).toBe(practice.endsAtUtcMs);
    expect(lineAt(board, c2 + 60_000)).toBe("wait");
  });
});

describe("what happens and what comes next", () => {
  const phases = (board: BoardSnapshot, times: number[]) =>
    times.map((at) => {
      const view = boardView(board, at, heard());
      return [view.phase, view.next?.step ?? null];
    });

  it("follows a total eclipse", () => {
    expect(phases(called, [c1 - 1, c1, c2 - 1, c2, c2 + 2000, c3 - 10_000, c3, c4])).toEqual([
      ["before", "begin"],
      ["covering", "totality"],
      ["covering", "totality"],
      ["due", "return"],
      ["totality", "glassesOn"],
      ["returning", "return"],
      ["uncovering", "end"],
      ["after", null],
    ]);
  });

  it("follows a partial and an annular eclipse", () => {
    const p = partial.contacts;
    expect(phases(partial, [p.max! - 1, p.max!])).toEqual([
      ["covering", "greatest"],
      ["uncovering", "end"],
    ]);
    const a = annular.contacts;
    expect(phases(annular, [a.c2! - 1, a.c2!, a.c3!])).toEqual([
      ["covering", "ring"],
      ["ring", "ringEnd"],
      ["uncovering", "end"],
    ]);
  });

  it("draws the corona only once totality has been called (S15: the last word is the eye's)", () => {
    expect(boardView(total, c2 + 60_000, heard()).sun?.totality).toBe(false);
    expect(boardView(called, c2 + 60_000, heard()).sun?.totality).toBe(true);
    expect(boardView(called, c2 + 60_000, heard()).sun?.covered).toBe(1);
    expect(boardView(called, c1 - 1000, heard()).sun?.moon).toBeNull();
  });

  // Azimuths count from north through east.
  it("names the wind of an azimuth", () => {
    expect([0, 44, 90, 181, 270, 337, 359].map(windOf)).toEqual(["n", "ne", "e", "s", "w", "nw", "n"]);
  });

  // Dip of the horizon, 1.76′ √height: nautical almanacs, from memory; 1.3° at 2,000 m, five minutes of the Sun.
  it("S13: says from a mountain that the Sun is down when it is down there, not at the sea", () => {
    const sunset = { ...total, contacts: { ...total.contacts, c4: later(c4, 12 * 3_600_000) } };
    const saysDown = (heightM: number | null, at: number) =>
      boardView({ ...sunset, heightM }, at, heard()).safety === "sunDown";
    const minutes = Array.from({ length: 12 * 60 }, (_, n) => c4 + n * 60_000);
    const [sea, hill] = [0, 2000].map((heightM) => minutes.findIndex((at) => saysDown(heightM, at)));
    expect(sea).toBeGreaterThan(0);
    expect((hill ?? 0) - (sea ?? 0)).toBeGreaterThanOrEqual(5);
    expect((hill ?? 0) - (sea ?? 0)).toBeLessThanOrEqual(8);
    expect(minutes.findIndex((at) => saysDown(null, at))).toBe(sea);
  });

  it("never gives a line without words", async () => {
    const { default: english } = await import("../../../console/words/en/board.json");
    const lines: SafetyLine[] = [
      "on",
      "onUntilCall",
      "wait",
      "off",
      "offPractice",
      "onNow",
      "onThroughout",
      "stay",
      "sunDown",
      "alone",
      "always",
    ];
    for (const line of lines)
      for (const key of [`board.safety.${line}`, `board.safety.${line}.detail`])
        expect(Object.keys(english)).toContain(key);
  });
});
