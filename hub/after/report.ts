/** Lines of `npm run after`: for programs (JSON) and for people. */
import type { Finding } from "../../shared/images/findings/findings.ts";
import type { RigKnowledge } from "../../shared/images/place/knowledge.ts";
import type { PlacedFrame } from "../../shared/images/place/place-frame.ts";
import { contactText, phaseText, suggestedName } from "../../shared/images/take-away/labels.ts";
import { isoUtc } from "../../shared/time/iso.ts";

const rounded = (value: number, digits: number): number => Number(value.toFixed(digits));

/**
 * One file. The first nine are promised to other programs; `utc` is null where nothing leads to it,
 * `boundS` null where it is not known how good it is.
 */
export function jsonLine(file: string, placed: PlacedFrame, more: readonly string[]): string {
  const { frame, utcMs, boundMs, phase, rigId, filter, cueId, differences, sun, camera } = placed;
  const from = phase?.fromContact;
  return JSON.stringify({
    file,
    cameraTime: frame.stamp?.text ?? null,
    utc: utcMs === null ? null : isoUtc(utcMs),
    boundS: boundMs === null ? null : rounded(boundMs / 1000, 3),
    phase: phase?.phase ?? null,
    fromContact: from ? { contact: from.contact, s: rounded(from.s, 3) } : null,
    rigId,
    filter,
    warnings: [...placed.warnings, ...more],
    covered: phase?.covered == null ? null : rounded(phase.covered, 3),
    sunAltitudeDeg: sun && rounded(sun.altitudeDeg, 2),
    sunAzimuthDeg: sun && rounded(sun.azimuthDeg, 2),
    kind: frame.kind,
    camera,
    exposureS: frame.exposureS,
    fNumber: frame.fNumber,
    iso: frame.iso,
    durationS: frame.durationS,
    cueId,
    differences,
    suggestedName: suggestedName(placed),
  });
}

export function fileLine(file: string, placed: PlacedFrame, more: readonly string[]): string {
  const { utcMs, boundMs, phase, filter, warnings } = placed;
  const notes = [...warnings, ...more];
  const told = notes.length > 0 ? `  (${notes.join("; ")})` : "";
  if (utcMs === null || phase === null) return `${file}  time unknown${told}`;
  const bound = boundMs === null ? "" : ` ±${(boundMs / 1000).toFixed(2)} s`;
  const where = contactText(phase.fromContact);
  return `${file}  ${isoUtc(utcMs)}${bound}  ${phaseText(phase)}${where && `, ${where}`}  filter ${filter}${told}`;
}

export function findingText(finding: Finding, { rig }: RigKnowledge): string {
  const frames = (n: number): string => (n === 1 ? "1 frame" : `${n} frames`);
  switch (finding.kind) {
    case "filter-on":
      return `! ${frames(finding.frames)} of ${rig.name} in totality with the filter on`;
    case "gap": {
      const { from, until, buffer } = finding;
      return `! no frame of ${rig.name} between ${contactText(from)} and ${contactText(until)}${buffer ? ": buffer full?" : ""}`;
    }
    case "not-planned": {
      const { what, wanted, got, cueId } = finding;
      const show = (value: number): string =>
        what !== "exposure" ? String(value) : value < 0.4 ? `1/${Math.round(1 / value)}` : `${value} s`;
      const should = wanted.map(show).join(", ");
      return `! ${what} ${show(got)} where the plan said ${should} (${cueId}, ${frames(finding.frames)})`;
    }
    case "no-frames":
      return `! no frames of ${rig.name}`;
    case "no-totality":
      return `! no frame of ${rig.name} between C2 and C3`;
    case "unplaced":
      return `! ${frames(finding.frames)} of ${rig.name} without a place: ${finding.why === "no time" ? "no time in the file" : "the camera's clock is not known"}`;
  }
}

export function totals(
  files: number,
  placed: readonly PlacedFrame[],
  write: boolean,
  sidecars: number,
): string {
  const known = placed.filter(({ utcMs }) => utcMs !== null).length;
  const said = `${files} files, ${known} with a time in UTC`;
  const doubtful = known - sidecars;
  const why =
    doubtful > 0
      ? ` ${doubtful} would get none: how good their time is is not known; say in the hub how far the camera's clock is off.`
      : "";
  if (write) return `${said}; sidecars for ${sidecars}.${why.replace("would get", "got")}`;
  return `${said}. Nothing was written: --write would make ${sidecars} sidecars.${why}`;
}
