/**
 * What the rules S1–S4, S9, S12 and S13 ask of one rig's list of cues, written from their text
 * alone and from nothing that shared/plan/safety does. Numbers are common practice without a
 * published source, as the rules say; NASA's eye-safety text stands behind the frame of them:
 * filters on at all times but in totality, inside the path.
 */
import type { LocalEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";

const MS = 1000;
/** Contacts carry fractions of a millisecond. */
const SLACK_MS = 2;

/** What is wrong with a list, each with its rule; empty for a list that may be followed. */
export function troublesOf(rig: Rig, cues: readonly Cue[], here: LocalEclipse): string[] {
  const { c2, c3 } = here.contacts;
  const on = cues.filter((cue) => cue.on);
  const off = on.filter((cue) => cue.action === "filter-off" || cue.key?.startsWith("cue.filter-off"));
  const eye = rig.lookedThrough || rig.kind === "visual-telescope" || rig.kind === "binocular";
  const total = here.kind === "total" && c2 !== null && c3 !== null;
  const alone = rig.kind === "projection" || (rig.unattended && rig.kind !== "wide-camera");
  const found: string[] = [];
  const must = (good: boolean, what: string) => {
    if (!good) found.push(what);
  };

  const never = !total || rig.kind === "narrowband-telescope" || rig.publicQueue;
  must(!never || !cues.some((cue) => cue.action === "filter-off"), "S2: a filter-off cue where none may be");
  if (!total) {
    // One on a contact that does not happen here never comes.
    const lookUp = on.some((cue) => isLookUp(cue) && Number.isFinite(times(cue, here)[0]));
    must(!lookUp, "S13: look up without a totality");
    return found;
  }
  const at = (cue: Cue) => times(cue, here);
  const first = (cue: Cue) => Math.min(...at(cue)) + cue.earliestS * MS;
  const last = (cue: Cue) => Math.max(...at(cue)) + cue.latestS * MS;
  const comes = (action: Cue["action"], afterMs: number, byMs: number) =>
    on.some(
      (cue) =>
        cue.action === action && cue.anchor === "C3" && at(cue)[0]! > afterMs && last(cue) <= byMs + SLACK_MS,
    );

  if (alone) {
    must(off.length === 0, "S12: filter off though left alone");
    const capped = on.some(
      (cue) => cue.action === "cap" && at(cue)[0]! + cue.latestS * MS <= c2 - 60 * MS + SLACK_MS,
    );
    must(capped, "S12: not capped by C2−60 s");
  }
  for (const cue of off) {
    must(cue.anchor === "C2", "S1: a filter-off that does not follow C2");
    if (eye) {
      must(here.totalityS >= 40, "S3: totality too short for an eye");
      must(first(cue) >= c2 + 10 * MS - SLACK_MS, "S3: off before C2+10 s");
      must(comes("eyes-away", at(cue)[0]!, c3 - 20 * MS), "S3: no eyes-away by C3−20 s");
      must(comes("filter-on", at(cue)[0]!, c3 - 10 * MS), "S3: not seated by C3−10 s");
    } else {
      const focalMm = rig.focalLengthMm ?? 9999;
      const earlyS = focalMm <= 100 ? 45 : focalMm <= 500 ? 30 : 20;
      must(first(cue) >= c2 - earlyS * MS - SLACK_MS, "S4: off too early");
      must(comes("filter-on", at(cue)[0]!, c3 + 15 * MS), "S4: not on by C3+15 s");
    }
  }
  for (const cue of on.filter(isLookUp)) {
    const inside = at(cue).every((ms) => ms >= c2 - SLACK_MS && ms <= c3 - 15 * MS + SLACK_MS);
    must(inside, "S13: look up outside totality");
  }
  return found;
}

/** S9: what makes things safe is in a variant as in the usual list. */
export function variantTroubles(usual: readonly Cue[], cues: readonly Cue[]): string[] {
  const safe = ["filter-on", "eyes-away", "glasses-on", "cap"];
  return usual
    .filter((cue) => cue.on && safe.includes(cue.action) && !cue.key?.startsWith("cue.filter-off"))
    .filter((cue) => {
      const there = cues.find(({ id }) => id === cue.id);
      const same = there?.on && there.action === cue.action && there.anchor === cue.anchor;
      return !same || there.offsetS !== cue.offsetS || there.latestS !== cue.latestS;
    })
    .map((cue) => `S9: ${cue.id} is not as in the usual list`);
}

function isLookUp(cue: Cue): boolean {
  return cue.action === "look-up" || (cue.key?.startsWith("cue.look-up") ?? false);
}

/** All times of a cue, ms; beyond everything where its contact does not happen. */
function times(cue: Cue, { contacts }: LocalEclipse): number[] {
  const of = (anchor: string, offsetS: number): number => {
    const key = (anchor === "max" ? "max" : anchor.toLowerCase()) as keyof LocalEclipse["contacts"];
    const ms = contacts[key] ?? null;
    return ms === null ? Number.NaN : ms + offsetS * MS;
  };
  const first = of(cue.anchor, cue.offsetS);
  const all = [first];
  if (cue.repeat === null) return all;
  const until = of(cue.repeat.until.anchor, cue.repeat.until.offsetS);
  for (let ms = first + cue.repeat.everyS * MS; ms <= until && all.length < 300; ms += cue.repeat.everyS * MS)
    all.push(ms);
  return all;
}
