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
 * @param sidecar where one is written, or would be; null where none is.
 */
export function jsonLine(
  file: string,
  placed: PlacedFrame,
  more: readonly string[],
  sidecar: string | null,
): string {
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
    sidecar,
  });
}

/** A name as a terminal may show it: what would move its cursor or turn its line round is spelt out. */
function printable(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: those are what is looked for.
  return text.replace(/[\u0000-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069]/g, (one) => {
    const code = one.charCodeAt(0).toString(16).padStart(4, "0");
    return `\\u${code}`;
  });
}

export function fileLine(path: string, placed: PlacedFrame, more: readonly string[]): string {
  const { utcMs, boundMs, phase, filter, warnings } = placed;
  const file = printable(path);
  const notes = [...warnings, ...more.map(printable)];
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
  failed = 0,
): string {
  const known = placed.filter(({ utcMs }) => utcMs !== null).length;
  const counted = (n: number, what: string): string => `${n} ${what}${n === 1 ? "" : "s"}`;
  const said = `${counted(files, "file")}, ${known} with a time in UTC`;
  const doubtful = known - sidecars;
  const why =
    doubtful > 0
      ? ` ${doubtful} would get none: how good their time is is not known; say in the hub how far the camera's clock is off.`
      : "";
  const not = failed > 0 ? ` ${failed} could not be written: see above.` : "";
  if (write) return `${said}; sidecars for ${sidecars - failed}.${not}${why.replace("would get", "got")}`;
  return `${said}. Nothing was written: --write would make ${counted(sidecars, "sidecar")}.${why}`;
}
