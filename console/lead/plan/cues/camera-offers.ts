/**
 * Camera settings that a rig's budget gives, as a cue takes them: exposures as printed on the camera,
 * with the ISO and the f-number they were worked out for. What fits a cue best stands first.
 */
import { readShutter } from "../../../../shared/budget/camera-stops.ts";
import { workingOptics } from "../../../../shared/budget/exposure.ts";
import type { Phenomenon } from "../../../../shared/budget/phenomena.ts";
import { type RigBudget, USUAL_ISO } from "../../../../shared/plan/budgets/rig-budget.ts";
import type { CameraSettings, Cue } from "../../../../shared/plan/model/cue.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";

export interface CameraOffer {
  of: Phenomenon | "bracket";
  camera: CameraSettings;
}

/** `CameraSettings` holds so many exposures at most. */
const EXPOSURES_MOST = 24;

export function cameraOffers(
  cue: Pick<Cue, "key" | "anchor" | "offsetS">,
  budget: Pick<RigBudget, "exposure" | "bracket">,
  rig: Pick<Rig, "equipment" | "focalLengthMm">,
): CameraOffer[] {
  const { equipment, focalLengthMm } = rig;
  if (!equipment || focalLengthMm === null) return [];
  const optics = workingOptics({ ...equipment, focalLengthMm });
  if (!optics) return [];
  const set = { iso: equipment.iso ?? USUAL_ISO, fNumber: Math.round(optics.fNumber * 10) / 10 };
  const offer = (of: CameraOffer["of"], names: readonly string[]): CameraOffer[] => {
    const exposuresS = names.map(readShutter).filter((seconds) => seconds !== undefined);
    return exposuresS.length === 0 ? [] : [{ of, camera: { exposuresS, ...set } }];
  };
  const offers = [
    ...budget.exposure.flatMap(({ phenomenon, stop }) => offer(phenomenon, [stop])),
    ...(budget.bracket
      ? offer(
          "bracket",
          budget.bracket.frames.slice(0, EXPOSURES_MOST).map(({ name }) => name),
        )
      : []),
  ];
  const best = bestFor(cue);
  return [...offers.filter(({ of }) => of === best), ...offers.filter(({ of }) => of !== best)];
}

/** By its words where they are the usual ones, else by when it comes. */
function bestFor({ key, anchor, offsetS }: Pick<Cue, "key" | "anchor" | "offsetS">): CameraOffer["of"] {
  if (key === "cue.corona-brackets" || key === "cue.long-bracket") return "bracket";
  if (key?.startsWith("cue.bead") || key?.startsWith("cue.burst")) return "beads";
  if (anchor === "C2") return offsetS < -60 ? "partial" : offsetS < 3 ? "beads" : "bracket";
  if (anchor === "C3") return offsetS < -30 ? "bracket" : offsetS <= 5 ? "beads" : "partial";
  return anchor === "max" ? "bracket" : anchor === "C1" || anchor === "C4" ? "partial" : "beads";
}
