/**
 * The cue that a refusal names: "rigs.2.cues.5.offsetS" is field offsetS of the sixth cue,
 * "rigs.2.variants.thin.filter-on.on" field on of the cue "filter-on" under thin cloud.
 */
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { VARIANTS } from "../../../../shared/plan/model/vocabulary.ts";
import type { Sky } from "./cue-draft.ts";

export interface WrongCue {
  sky: Sky;
  cueId: string;
  field: string;
}

export function wrongCue(field: string | undefined, cues: readonly Cue[]): WrongCue | null {
  const ofList = field?.match(/(?:^|\.)cues\.(\d+)\.(\w+)/);
  if (ofList) {
    const cue = cues[Number(ofList[1])];
    return cue ? { sky: "clear", cueId: cue.id, field: ofList[2] ?? "" } : null;
  }
  const ofSky = field?.match(/(?:^|\.)variants\.(\w+)\.([^.]+)\.(\w+)$/);
  const sky = VARIANTS.find((one) => one === ofSky?.[1]);
  return sky && ofSky?.[2] ? { sky, cueId: ofSky[2], field: ofSky[3] ?? "" } : null;
}
