/** What a save did besides what was asked; message key `plan-note.<code>`. */
export const PLAN_NOTES = [
  "cues-derived",
  "cues-reset",
  "edit-dropped",
  "cue-dropped",
  "cue-renamed",
  "cue-without-contact",
  "acknowledgement-dropped",
] as const;

export interface PlanNote {
  code: (typeof PLAN_NOTES)[number];
  rigId: string;
  cueId?: string;
  field?: string;
  data: Record<string, string | number>;
}
