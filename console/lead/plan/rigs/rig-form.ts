/** A rig's fields as typed, read into a rig of the plan; each wrong field is named. */
import { lengthOf } from "../../../../shared/fields/text.ts";
import { type Plan, type Rig, type RigDraft, RigSchema } from "../../../../shared/plan/model/plan.ts";
import { sameRigName } from "../../../../shared/plan/model/rig-name.ts";
import type { RigKind } from "../../../../shared/plan/model/vocabulary.ts";
import { type FieldProblem, rangeWords, readWithin } from "../../../forms/field-range.ts";

export interface RigForm {
  name: string;
  kind: RigKind;
  operator: string;
  lookedThrough: boolean;
  publicQueue: boolean;
  unattended: boolean;
  focalLength: string;
  filter: Rig["filter"];
}

export type RigProblems = Partial<Record<keyof RigForm, FieldProblem>>;

const { focalLengthMm: FOCAL_LENGTH } = RigSchema.entries;
export const NAME_MOST = lengthOf(RigSchema.entries.name);

export const EMPTY_RIG_FORM: RigForm = {
  name: "",
  kind: "tracked-telescope",
  operator: "",
  lookedThrough: false,
  publicQueue: false,
  unattended: false,
  focalLength: "",
  filter: "front",
};

export function rigForm(rig: Rig): RigForm {
  const { name, kind, operator, lookedThrough, publicQueue, unattended, filter } = rig;
  const focalLength = rig.focalLengthMm === null ? "" : String(rig.focalLengthMm);
  return { name, kind, operator, lookedThrough, publicQueue, unattended, focalLength, filter };
}

/** What a kind usually is, put into the form when the kind is chosen; a lead may change it. */
export function usualFor(kind: RigKind): Partial<RigForm> {
  return {
    lookedThrough: kind === "visual-telescope" || kind === "binocular",
    filter: kind === "wide-camera" || kind === "projection" ? "none by design" : "front",
  };
}

/** What is wrong with a name beside the plan's other rigs; said as soon as it is typed. */
export function nameProblem(
  name: string,
  rigId: string | null,
  rigs: readonly Pick<Rig, "id" | "name">[],
): RigProblems {
  const taken = rigs.some((rig) => rig.id !== rigId && sameRigName(rig.name, name));
  return taken ? { name: { key: "lead.rig.wrong.nameTaken" } } : {};
}

export type ReadRig =
  | { ok: true; fields: Omit<RigDraft, "id" | "cues"> }
  | { ok: false; problems: RigProblems };

export function readRigForm(form: RigForm): ReadRig {
  const { focalLength, name, operator, ...rest } = form;
  const problems: RigProblems = {};
  const focalLengthMm = focalLength.trim() === "" ? null : readWithin(FOCAL_LENGTH, focalLength);
  if (name.trim() === "") problems.name = { key: "lead.rig.wrong.name" };
  if (focalLength.trim() !== "" && focalLengthMm === null)
    problems.focalLength = { key: "lead.rig.wrong.focalLength", values: rangeWords(FOCAL_LENGTH) };
  if (Object.keys(problems).length > 0) return { ok: false, problems };
  return { ok: true, fields: { ...rest, name: name.trim(), operator: operator.trim(), focalLengthMm } };
}

/** An id from a name: "West pier" → "west-pier", "west-pier-2" when taken; `otherwise` for other scripts. */
export function newId(name: string, taken: readonly string[], otherwise: string): string {
  const plain = name
    .normalize("NFKD")
    .replace(/\p{M}+/gu, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 34)
    .replace(/-+$/, "");
  const base = plain === "" ? otherwise : plain;
  if (!taken.includes(base)) return base;
  let n = 2;
  while (taken.includes(`${base}-${n}`)) n += 1;
  return `${base}-${n}`;
}

/** What another rig like this one is called as long as nobody says: "West pier" → "West pier 2", "West pier 3" when taken. */
export function nextName(name: string, rigs: readonly Pick<Rig, "name">[]): string {
  const [, stem = name, last] = /^(.*?)(?: (\d{1,3}))?$/u.exec(name) ?? [];
  for (let n = last === undefined ? 2 : Number(last) + 1; ; n++) {
    const next = `${stem.slice(0, NAME_MOST - 5).trim()} ${n}`;
    if (!rigs.some((rig) => sameRigName(rig.name, next))) return next;
  }
}

/** The plan with one rig added, or changed where its id is known. */
export function withRig(plan: Plan, rig: RigDraft): Omit<Plan, "rigs"> & { rigs: RigDraft[] } {
  const known = plan.rigs.some((one) => one.id === rig.id);
  const rigs: RigDraft[] = known
    ? plan.rigs.map((one) => (one.id === rig.id ? rig : one))
    : [...plan.rigs, rig];
  return { ...plan, rigs };
}

export function withoutRig(plan: Plan, rigId: string): Plan {
  return {
    ...plan,
    rigs: plan.rigs.filter((rig) => rig.id !== rigId),
    acknowledged: plan.acknowledged.filter((one) => one.rigId !== rigId),
  };
}

/** Plan with one more acknowledgement by name (S14). */
export function withAcknowledgement<P extends Pick<Plan, "acknowledged">>(
  plan: P,
  rule: string,
  rigId: string,
  by: string,
): P {
  const others = plan.acknowledged.filter((one) => one.rule !== rule || one.rigId !== rigId);
  return { ...plan, acknowledged: [...others, { rule, rigId, by }] };
}
