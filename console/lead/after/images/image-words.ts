/** Frames and findings in the reader's words. */
import type { Finding } from "../../../../shared/images/findings/findings.ts";
import { contactText } from "../../../../shared/images/take-away/labels.ts";
import { t, type WordKey } from "../../../words/words.ts";
import type { ImageRow } from "./image-row.ts";

/** "totality, 12.3 s", "partial, 43 % covered", "C2 to within the bound". */
export function phaseWords({ phase, covered, intoS }: Pick<ImageRow, "phase" | "covered" | "intoS">): string {
  if (phase === null) return t("images.phase.unknown");
  if (intoS !== null)
    return t(phase === "ring" ? "images.phase.ringAt" : "images.phase.totalityAt", { s: intoS.toFixed(1) });
  if (phase === "partial" && covered !== null)
    return t("images.phase.partialCovered", { percent: Math.round(covered * 100) });
  const contact = /^(C\d) to within/.exec(phase)?.[1];
  if (contact) return t("images.phase.contact", { contact });
  return t(PLAIN[phase] ?? "images.phase.unknown");
}

const PLAIN: Partial<Record<NonNullable<ImageRow["phase"]>, WordKey>> = {
  "before C1": "images.phase.before",
  partial: "images.phase.partial",
  beads: "images.phase.beads",
  "after C4": "images.phase.after",
  "no eclipse": "images.phase.none",
};

/** "1/60 s, f/5.6, ISO 400": what is known of it. */
export function exposureWords({
  exposureS,
  fNumber,
  iso,
}: Pick<ImageRow, "exposureS" | "fNumber" | "iso">): string {
  return [
    exposureS === null || exposureS === 0 ? null : secondsWords(exposureS),
    fNumber === null ? null : `f/${Number(fNumber.toFixed(1))}`,
    iso === null ? null : `ISO ${iso}`,
  ]
    .filter(Boolean)
    .join(", ");
}

function secondsWords(s: number): string {
  return s < 0.4 ? `1/${Math.round(1 / s)} s` : `${Number(s.toFixed(1))} s`;
}

export function findingWords(finding: Finding, rigName: (id: string) => string): string {
  const rig = rigName(finding.rigId);
  switch (finding.kind) {
    case "filter-on":
      return t("images.finding.filterOn", { count: finding.frames, rig });
    case "gap": {
      const { from, until, buffer } = finding;
      const words = { rig, from: contactText(from), until: contactText(until) };
      return t(buffer ? "images.finding.gapBuffer" : "images.finding.gap", words);
    }
    case "not-planned": {
      const show = (value: number) =>
        finding.what === "exposure"
          ? secondsWords(value)
          : finding.what === "iso"
            ? `ISO ${value}`
            : `f/${value}`;
      const wanted = finding.wanted.map(show).join(", ");
      return t("images.finding.notPlanned", { rig, got: show(finding.got), wanted, count: finding.frames });
    }
    case "no-frames":
      return t("images.finding.noFrames", { rig });
    case "no-totality":
      return t("images.finding.noTotality", { rig });
    case "unplaced":
      return t(finding.why === "no time" ? "images.finding.noTime" : "images.finding.noClock", {
        rig,
        count: finding.frames,
      });
  }
}
