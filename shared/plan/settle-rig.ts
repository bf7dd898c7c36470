/**
 * Settles one rig for what its site gets: default list, the lead's edits on it, and the variants'
 * edits on what came of that. Pure.
 *
 * - Without cues the rig gets the default list, with the edits that it brings; without both its
 *   edits are set aside by a "usual".
 * - Cues that differ from those of before stand as they were given; edits are found by comparing.
 * - Cues as they were get derived anew where the site, the rig's optics or its edits changed; edits
 *   that the rules forbid or that find no cue here are marked, and tried again at the next place.
 * - An edit that is new in this very save and that a rule forbids refuses the save.
 */
import { cueDueMs, hangsOnContacts } from "./cue-times.ts";
import { defaultCues } from "./defaults/default-cues.ts";
import { type Applied, applyEdit, applyEdits, type Judge, withKeptEdits } from "./edits/apply-edits.ts";
import { asMeant, slotOf, standingEdits } from "./edits/edit-list.ts";
import { editsBetween, editsGrown } from "./edits/edits-between.ts";
import { chosenEdits, followed } from "./edits/follow.ts";
import { same } from "./edits/same.ts";
import type { LocalEclipse } from "./local-eclipse.ts";
import type { Cue } from "./model/cue.ts";
import type { Edit } from "./model/edit.ts";
import type { Plan, Rig, RigDraft } from "./model/plan.ts";
import { VARIANTS } from "./model/vocabulary.ts";
import type { PlanNote } from "./plan-note.ts";
import { checkWholeRig, openFindings, withAcknowledgements } from "./safety/check-plan.ts";
import { checkRig } from "./safety/check-rig.ts";
import { checkVariant } from "./safety/check-variant.ts";
import type { Finding } from "./safety/finding.ts";

export interface SettledRig {
  rig: Rig;
  notes: PlanNote[];
  /** All of them, acknowledged ones too; those of edits that are new in this save and may not be first. */
  findings: Finding[];
  /** Without those that nothing asks for any more. */
  acknowledged: Plan["acknowledged"];
}

export interface RigSettling {
  /** The rig as it was saved last; undefined for a new one. */
  before: Rig | undefined;
  /** Its place in the plan, for the fields of findings. */
  index: number;
  gets: LocalEclipse;
  /** The same for the plan saved last. */
  previousGets: LocalEclipse;
  /** Of this rig. */
  acknowledged: Plan["acknowledged"];
  /** New edits that the rules forbid do not refuse the save (settle-plan.ts). */
  copied: boolean;
}

type RigFields = Omit<Rig, "cues" | "edits" | "variants">;

export function settleRig(draft: RigDraft, settling: RigSettling): SettledRig {
  const { cues, edits, variants, ...fields } = draft;
  const usual = settleUsual(fields, cues, edits, settling);
  const settled = settleVariants(fields, usual.cues, variants, settling);
  const rig: Rig = {
    ...fields,
    cues: usual.cues,
    ...(usual.edits.length > 0 && { edits: usual.edits }),
    ...(settled.variants && { variants: settled.variants }),
  };
  const refused = settling.copied ? [] : [...usual.refused, ...settled.refused];
  const found = [...refused, ...checkWholeRig(rig, settling.index, settling.gets)];
  const findings = withAcknowledgements(found, settling.acknowledged);
  const asked = new Set(found.map((one) => (one.severity === "acknowledge" ? one.rule : "")));
  const dropped = settling.acknowledged.filter(({ rule }) => !asked.has(rule as Finding["rule"]));
  const notes: PlanNote[] = [...usual.notes, ...settled.notes, ...withoutContact(rig, settling.gets)];
  for (const { rule, by } of dropped)
    notes.push({ code: "acknowledgement-dropped", rigId: rig.id, data: { rule, by } });
  const acknowledged = settling.acknowledged.filter((ack) => !dropped.includes(ack));
  return { rig, notes, findings, acknowledged };
}

// ---------------------------------------------------------------- the usual list

interface Settled {
  cues: Cue[];
  edits: Edit[];
  notes: PlanNote[];
  refused: Finding[];
}

function settleUsual(
  fields: RigFields,
  cues: readonly Cue[] | undefined,
  given: readonly Edit[] | undefined,
  settling: RigSettling,
): Settled {
  const { before, gets, previousGets } = settling;
  const rigId = fields.id;
  const defaults = defaultCues(fields, gets);
  const had = before?.edits ?? [];
  // Lists as they were, with edits that differ: then the edits are what was changed.
  const asWas = cues === undefined || (before !== undefined && same(cues, before.cues));
  if (!asWas) {
    const placed = followed(cues);
    const edits = editsGrown(given ?? had, defaults, placed);
    return { cues: placed, edits, notes: [], refused: [] };
  }
  let edits: readonly Edit[] = given?.map(asMeant) ?? (cues === undefined ? setAside(had) : had.map(asMeant));
  const reset = cues === undefined && given === undefined && standingEdits(had).length > 0;
  const samePlace = before !== undefined && same(gets, previousGets) && same(optics(fields), optics(before));
  if (samePlace && same(edits, had.map(asMeant)))
    return { cues: [...before.cues], edits: [...had], notes: [], refused: [] };

  const oldDefaults = before === undefined ? [] : samePlace ? defaults : defaultCues(before, previousGets);
  const apart = renamedApart(edits, defaults, rigId);
  edits = apart.edits;
  const judge = judgeOf({ ...fields, cues: defaults }, settling);
  const applied = applyEdits(defaults, edits, judge);
  const list =
    before && same(defaults, oldDefaults) ? keepOrder(applied.cues, before.cues) : byTime(applied.cues, gets);
  const notes: PlanNote[] = [...apart.notes];
  if (reset) notes.push({ code: "cues-reset", rigId, data: {} });
  else if (before && !samePlace && !same(list, before.cues))
    notes.push({ code: "cues-derived", rigId, data: {} });
  const fresh = isNew(had);
  notes.push(...lost(applied.edits, rigId, before === undefined ? [] : before.cues));
  const refused = firstRefused(applied, fresh, defaults, (cuesThen) =>
    checkRig({ ...fields, cues: cuesThen }, settling.index, gets),
  );
  return { cues: list, edits: applied.edits, notes, refused };
}

/** The edits of before, none of which counts any more; they can be had back by undoing. */
function setAside(had: readonly Edit[]): Edit[] {
  const meant = had.map(asMeant);
  return standingEdits(meant).length === 0 ? meant : [...meant, { do: "usual", cueId: "" }];
}

/** What of a rig its default list depends on. */
function optics(rig: RigFields) {
  const { kind, lookedThrough, publicQueue, unattended, focalLengthMm, filter } = rig;
  return { kind, lookedThrough, publicQueue, unattended, focalLengthMm, filter };
}

/** What the rules say of a list of this rig, beyond what they say of its default list. */
function judgeOf(usual: Rig, { gets, acknowledged }: RigSettling): Judge {
  let base: ReadonlySet<string> | undefined;
  return (cues) => {
    const found = openFindings(withAcknowledgements(checkRig({ ...usual, cues }, 0, gets), acknowledged));
    if (found.length === 0) return null;
    base ??= new Set(checkRig(usual, 0, gets).map(({ code }) => code));
    return found.find(({ code }) => !base?.has(code))?.rule ?? null;
  };
}

function isNew(had: readonly Edit[]): (edit: Edit) => boolean {
  const meant = had.map(asMeant);
  return (edit) => !meant.some((other) => same(other, asMeant(edit)));
}

/** Why the first new edit that was refused may not be: what the rules find in the list with it. */
function firstRefused(
  { cues, edits }: { cues: readonly Cue[]; edits: readonly Edit[] },
  fresh: (edit: Edit) => boolean,
  base: readonly Cue[],
  check: (cues: Cue[]) => Finding[],
): Finding[] {
  const edit = edits.find((one) => one.came === "refused" && fresh(one));
  const tried = edit && applyEdit(cues, base, edit);
  return tried ? check(followed(tried)) : [];
}

/** A lead's own cue whose id the default list of another place takes for one of its own. */
function renamedApart(edits: readonly Edit[], defaults: readonly Cue[], rigId: string) {
  const own = new Set(standingEdits(edits).flatMap((edit) => (edit.do === "add" ? [edit.cueId] : [])));
  const taken = new Set([...own, ...defaults.map(({ id }) => id)]);
  const names = new Map<string, string>();
  for (const { id } of defaults) {
    if (!own.has(id)) continue;
    let name = id;
    for (let n = 1; taken.has(name); n++) name = `${id.slice(0, 34)}-own${n}`;
    taken.add(name);
    names.set(id, name);
  }
  const notes = [...names].map(
    ([from, cueId]): PlanNote => ({ code: "cue-renamed", rigId, cueId, data: { from } }),
  );
  const named = (id: string) => names.get(id) ?? id;
  const goes = (along: Cue["along"]) => along && { along: { ...along, cueId: named(along.cueId) } };
  const renamed = edits.map((edit): Edit => {
    const cueId = named(edit.cueId);
    if (edit.do === "add") return { ...edit, cueId, cue: { ...edit.cue, ...goes(edit.cue.along) } };
    return { ...edit, cueId, ...(edit.do === "hang" && goes(edit.along)) } as Edit;
  });
  return { edits: names.size === 0 ? edits : renamed, notes };
}

const FIELD_OF: Partial<Record<Edit["do"], string>> = {
  move: "offsetS",
  hang: "offsetS",
  switch: "on",
  say: "say",
  act: "action",
  confirm: "confirm",
  window: "latestS",
  "count in": "countInS",
  hands: "handsS",
  repeat: "repeat",
  camera: "camera",
};

/** Notes of the edits that did not come along. */
function lost(edits: readonly Edit[], rigId: string, oldCues: readonly Cue[]): PlanNote[] {
  const standing = new Set(standingEdits(edits).map(slotOf));
  const notes = new Map<string, PlanNote>();
  for (const edit of edits) {
    const { cueId, came } = edit;
    if (came === undefined || !standing.has(slotOf(edit))) continue;
    const field = FIELD_OF[edit.do];
    const said = oldCues.find(({ id }) => id === cueId)?.say ?? "";
    const note: PlanNote =
      came === "unfit"
        ? { code: "cue-dropped", rigId, cueId, data: { say: said } }
        : { code: "edit-dropped", rigId, cueId, ...(field && { field }), data: { rule: edit.rule ?? "" } };
    notes.set(`${note.code} ${cueId} ${came === "unfit" ? "" : field}`, note);
  }
  return [...notes.values()];
}

/** Sorted by time; cues without a time at this site come last. */
function byTime(cues: readonly Cue[], gets: LocalEclipse): Cue[] {
  const at = (cue: Cue) => cueDueMs(cue, gets.contacts) ?? Number.MAX_VALUE;
  return [...cues].sort((a, b) => at(a) - at(b));
}

function keepOrder(cues: readonly Cue[], like: readonly Cue[]): Cue[] {
  const place = new Map(like.map(({ id }, index) => [id, index]));
  const at = (cue: Cue) => place.get(cue.id) ?? like.length;
  return [...cues].sort((a, b) => at(a) - at(b));
}

function withoutContact(rig: Rig, gets: LocalEclipse): PlanNote[] {
  if (gets.kind === "none") return [];
  return rig.cues
    .filter((cue) => cue.on && hangsOnContacts(cue) && cueDueMs(cue, gets.contacts) === null)
    .map((cue) => ({
      code: "cue-without-contact",
      rigId: rig.id,
      cueId: cue.id,
      data: { anchor: cue.anchor },
    }));
}

// ---------------------------------------------------------------- variants

/**
 * A variant's list is put together from its edits alone (variant-cues.ts): where a cue goes along with
 * one that is elsewhere under this sky, that is one of them.
 */
function withFollowers(cues: readonly Cue[], { cues: wanted, edits }: Applied): Edit[] {
  const moved = editsBetween(withKeptEdits(cues, edits), wanted);
  const slots = new Set(moved.map(slotOf));
  return [...edits.filter((edit) => edit.came !== undefined || !slots.has(slotOf(edit))), ...moved];
}

interface SettledVariants {
  variants: Rig["variants"];
  notes: PlanNote[];
  refused: Finding[];
}

function settleVariants(
  fields: RigFields,
  cues: Cue[],
  given: RigDraft["variants"],
  settling: RigSettling,
): SettledVariants {
  const wanted = given ?? settling.before?.variants;
  const settled: SettledVariants = { variants: undefined, notes: [], refused: [] };
  if (wanted === undefined) return settled;
  const usual: Rig = { ...fields, cues };
  for (const variant of VARIANTS) {
    const given = wanted[variant];
    if (given === undefined || given.length === 0) continue;
    const edits = chosenEdits(given, settling.before?.cues ?? []);
    const open = (list: Cue[]) => {
      const found = checkVariant(usual, settling.index, settling.gets, variant, list);
      return openFindings(withAcknowledgements(found, settling.acknowledged));
    };
    const applied = applyEdits(cues, edits.map(asMeant), (list) => open(list)[0]?.rule ?? null);
    settled.variants = { ...settled.variants, [variant]: withFollowers(cues, applied) };
    settled.notes.push(
      ...lost(applied.edits, fields.id, cues).map((note) => ({ ...note, data: { ...note.data, variant } })),
    );
    const fresh = isNew(settling.before?.variants?.[variant] ?? []);
    settled.refused.push(...firstRefused(applied, fresh, cues, open));
  }
  return settled;
}
