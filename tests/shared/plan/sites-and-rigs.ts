/** Invented sites and rigs for the tests of shared/plan, and generators of arbitrary ones. */
import { readFileSync } from "node:fs";
import fc from "fast-check";
import { type LocalEclipse, NO_ECLIPSE } from "../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../shared/plan/model/cue.ts";
import { EMPTY_PLAN } from "../../../shared/plan/model/empty-plan.ts";
import type { Plan, Rig } from "../../../shared/plan/model/plan.ts";
import { RIG_FILTERS } from "../../../shared/plan/model/plan.ts";
import { RIG_KINDS } from "../../../shared/plan/model/vocabulary.ts";
import { utcMs } from "../../../shared/time/instants.ts";

/** The English messages of shared/plan, uncompiled. */
export const words = Object.assign(
  {},
  ...["plan", "kinds", "rules", "coordinates"].map((part) =>
    JSON.parse(readFileSync(new URL(`../../../console/words/en/${part}.json`, import.meta.url), "utf8")),
  ),
) as Record<string, string>;

/** Noon of an invented day, UTC ms. */
export const C2_MS = 1_800_000_000_000;

export function totalSite(totalityS: number, partialS = 4500): LocalEclipse {
  return {
    kind: "total",
    visible: true,
    totalityS,
    ringS: 0,
    cut: null,
    contacts: {
      c1: utcMs(C2_MS - partialS * 1000),
      c2: utcMs(C2_MS),
      max: utcMs(C2_MS + totalityS * 500),
      c3: utcMs(C2_MS + totalityS * 1000),
      c4: utcMs(C2_MS + (totalityS + partialS) * 1000),
    },
  };
}

export function annularSite(ringS: number): LocalEclipse {
  return { ...totalSite(ringS), kind: "annular", totalityS: 0, ringS };
}

export function partialSite(): LocalEclipse {
  const site = totalSite(120);
  return {
    ...site,
    kind: "partial",
    totalityS: 0,
    contacts: { ...site.contacts, c2: null, c3: null },
  };
}

export function rigOf(kind: Rig["kind"], rest: Partial<Rig> = {}): Rig {
  return {
    id: "rig-1",
    name: "Rig one",
    kind,
    operator: "",
    lookedThrough: false,
    publicQueue: false,
    unattended: false,
    focalLengthMm: 400,
    filter: kind === "wide-camera" || kind === "projection" ? "none by design" : "front",
    cues: [],
    ...rest,
  };
}

export function planOf(...rigs: Rig[]): Plan {
  return { ...EMPTY_PLAN, rigs };
}

/** The rig with one cue changed; throws when it has no such cue. */
export function withCue(rig: Rig, id: string, change: Partial<Cue>): Rig {
  if (!rig.cues.some((cue) => cue.id === id)) throw new Error(`no cue ${id}`);
  return { ...rig, cues: rig.cues.map((cue) => (cue.id === id ? { ...cue, ...change } : cue)) };
}

export function withoutCue(rig: Rig, id: string): Rig {
  if (!rig.cues.some((cue) => cue.id === id)) throw new Error(`no cue ${id}`);
  return { ...rig, cues: rig.cues.filter((cue) => cue.id !== id) };
}

/** A cue of a lead's own. */
export function ownCue(rest: Partial<Cue>): Cue {
  return {
    id: "own",
    key: null,
    anchor: "C2",
    offsetS: 0,
    action: "check",
    say: "Own words.",
    on: true,
    confirm: false,
    earliestS: 0,
    latestS: 0,
    countInS: 0,
    handsS: 0,
    repeat: null,
    ...rest,
  };
}

/** Totalities from a tenth of a second to the longest of all, about 7.5 minutes; many short ones. */
export const anyTotalSite = fc
  .tuple(
    fc.oneof(fc.integer({ min: 1, max: 900 }), fc.integer({ min: 1, max: 4550 })),
    fc.integer({ min: 1200, max: 6600 }),
  )
  .map(([tenths, partialS]) => totalSite(tenths / 10, partialS));

export const anySite: fc.Arbitrary<LocalEclipse> = fc.oneof(
  { weight: 4, arbitrary: anyTotalSite },
  fc.integer({ min: 1, max: 7500 }).map((tenths) => annularSite(tenths / 10)),
  fc.constant(partialSite()),
  fc.constant(NO_ECLIPSE),
);

export const anyRig: fc.Arbitrary<Rig> = fc
  .record({
    kind: fc.constantFrom(...RIG_KINDS),
    lookedThrough: fc.boolean(),
    publicQueue: fc.boolean(),
    unattended: fc.boolean(),
    focalLengthMm: fc.option(fc.integer({ min: 8, max: 4000 }), { nil: null }),
    filter: fc.constantFrom(...RIG_FILTERS),
  })
  .map(({ kind, ...rest }) => rigOf(kind, rest));
