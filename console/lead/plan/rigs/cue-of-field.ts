/** The place of a cue in the field that a refusal names: "rigs.2.cues.5.offsetS" is cue 5, offsetS. */
export function cueOfField(field: string | undefined): { index: number; field: string } | null {
  const found = field?.match(/(?:^|\.)cues\.(\d+)\.(\w+)/);
  return found ? { index: Number(found[1]), field: found[2] ?? "" } : null;
}
