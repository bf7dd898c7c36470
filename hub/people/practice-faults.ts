/**
 * What a fault thrown into a practice run does. Nothing of it touches the real run's record: links are
 * held back, simulated operators fail, the practice run gets a variant, a shift or a doubt of its clock;
 * what only a person can act out they are told by a message. No clock is ever set: the hub's is that of
 * the real run, too.
 */
import { ownValue } from "../../shared/fields/own-key.ts";
import type { EventType, Payloads } from "../../shared/run/events.ts";
import type { Fault } from "../../shared/run/orders/practice-programme.ts";
import type { RunRecord } from "../../shared/run/state.ts";
import { variantOf } from "../../shared/run/variant-of.ts";
import type { RunView } from "../../shared/run/views/run-view.ts";
import type { Operator } from "./operator.ts";

/** Who is named in the record for what a fault does. */
const BY = "practice";
/** A contact that comes early does so by as much, s. */
const EARLY_S = 3;
/** The sky under a cloud. */
const CLOUDED = "overcast";
/** A card changed by a simulated operator has so much room, GB. */
const NEW_CARD_GB = 64;

/** Told where the order brought no words of its own, in the lead's language. */
const TOLD: Record<Fault["kind"], string> = {
  "hub gone": "",
  "phone reload": "Practice: load this page again now.",
  cloud: "",
  "card full": "Practice: your card is full. Change it now.",
  "operator missing": "Practice: step back from your rig and do nothing until you are called.",
  "contact early": "",
  "clock stepped": "",
};
/** The same when it is over: who was told to do nothing waits for it. */
const TOLD_OVER: Partial<typeof TOLD> = { "operator missing": "Practice: you are back. Go on at your rig." };

/** What a fault that lasts does to a simulated operator, also to one who comes in the middle of it. */
const STRIKES: Partial<Record<Fault["kind"], { begin: Strike; end: Strike }>> = {
  "card full": {
    begin: (operator) => operator.say({ cardFreeGB: 0 }),
    end: (operator) => operator.say({ cardFreeGB: NEW_CARD_GB }),
  },
  "operator missing": {
    begin: (operator) => operator.setIdle(true),
    end: (operator) => operator.setIdle(false),
  },
  cloud: {
    begin: (operator) => operator.say({ sky: "overcast" }),
    end: (operator) => operator.say({ sky: "clear" }),
  },
};
type Strike = (operator: Operator) => void;
type Sky = RunRecord["variant"];

/** What was done, as far as its end needs it: plain data, so that it is kept over a restart of the hub. */
export interface Done {
  /** Rigs whose links are held back. */
  held?: readonly string[];
  /** The sky that was in force before a cloud; `site` null where it came over single rigs. */
  before?: { site: Sky["site"] | null; rigs: Sky["rigs"] };
}

interface FaultPorts {
  /** Simulated operators by rig. */
  operators: ReadonlyMap<string, Operator>;
  /** Rigs to which a person's phone is linked. */
  people: ReadonlySet<string>;
  view: RunView;
  newId: () => string;
  /** Writes into the record of this practice run, and of no other, whatever is on by then. */
  note: <T extends EventType>(type: T, payload: Payloads[T]) => void;
}

/**
 * Begins a fault; null where nothing of it could be done. `rigIds`: whom it strikes. `before`: what was done
 * by those of its kind that go on in it.
 */
export function beginFault(
  fault: Fault,
  rigIds: readonly string[],
  before: readonly Done[],
  { operators, people, view, note, newId }: FaultPorts,
): Done | null {
  const played = rigIds.flatMap((id) => operators.get(id) ?? []);
  const persons = rigIds.filter((id) => people.has(id));
  const somebody = played.length > 0 || persons.length > 0;
  const tell = () => tellPersons(persons, fault.words || TOLD[fault.kind], newId, note);
  switch (fault.kind) {
    case "hub gone": {
      // A phone that must not miss a call stays linked: its filter could really be open (S7, S8).
      const touchOnly = new Set(view.rigs.filter((rig) => rig.touchOnly).map(({ rig }) => rig.id));
      const found = rigIds.filter((id) => operators.has(id) || (people.has(id) && !touchOnly.has(id)));
      const held = [...new Set([...before.flatMap((one) => one.held ?? []), ...found])];
      return held.length === 0 ? null : { held };
    }
    case "phone reload":
      if (!somebody) return null;
      tell();
      for (const operator of played) operator.reload();
      return {};
    case "card full":
    case "operator missing":
      if (!somebody) return null;
      tell();
      for (const operator of played) strike(fault.kind, operator);
      return {};
    case "cloud": {
      const sky = before.reduce((now, one) => skyAfter(now, one.before), view.run.variant);
      note("variantChosen", { variant: CLOUDED, rigIds: fault.rigIds, by: BY });
      for (const operator of played) strike("cloud", operator);
      return { before: underCloud(sky, fault.rigIds) };
    }
    case "contact early": {
      const shift = earlier(view);
      if (!shift) return null;
      note("contactShifted", shift);
      return {};
    }
    case "clock stepped":
      return {};
  }
}

export function strike(kind: Fault["kind"], operator: Operator): void {
  STRIKES[kind]?.begin(operator);
}

/** Ends one in a practice that goes on. `told`: persons may be told something; over a cover nobody is (S7). */
export function endFault(
  fault: Fault,
  rigIds: readonly string[],
  done: Done,
  told: boolean,
  { operators, people, view, note, newId }: FaultPorts,
): void {
  const { kind } = fault;
  for (const id of rigIds) {
    const operator = operators.get(id);
    if (operator) STRIKES[kind]?.end(operator);
  }
  if (kind === "cloud") changeSky(view.run.variant, skyAfter(view.run.variant, done.before), note);
  if (kind === "clock stepped")
    note("practiceFault", { kind, rigIds: fault.rigIds && [...fault.rigIds], forS: 0, over: true, by: BY });
  const persons = rigIds.filter((id) => people.has(id));
  if (told) tellPersons(persons, fault.wordsOver || TOLD_OVER[kind] || "", newId, note);
}

function tellPersons(
  rigIds: string[],
  text: string,
  newId: FaultPorts["newId"],
  note: FaultPorts["note"],
): void {
  if (text && rigIds.length > 0) note("messageSent", { messageId: newId(), text, rigIds, by: BY });
}

/** The sky that a cloud over these rigs lies over; null: over the site. */
function underCloud(sky: Sky, rigIds: readonly string[] | null): NonNullable<Done["before"]> {
  if (rigIds === null) return sky;
  return { site: null, rigs: Object.fromEntries(rigIds.map((id) => [id, variantOf({ variant: sky }, id)])) };
}

/** The sky once a cloud has gone: what was before it, but for what a lead has chosen in the middle of it. */
function skyAfter(now: Sky, before: Done["before"]): Sky {
  if (!before) return now;
  if (before.site === null) {
    const back = Object.entries(before.rigs).filter(([id]) => ownValue(now.rigs, id) === CLOUDED);
    return { ...now, rigs: { ...now.rigs, ...Object.fromEntries(back) } };
  }
  if (now.site !== CLOUDED) return now;
  return { site: before.site, rigs: { ...before.rigs, ...now.rigs } };
}

/** Named for the site, a sky holds for every rig: those with one of their own come after. */
function changeSky(now: Sky, to: Sky, note: FaultPorts["note"]): void {
  const whole = to.site !== now.site;
  if (whole) note("variantChosen", { variant: to.site, rigIds: null, by: BY });
  for (const [id, variant] of Object.entries(to.rigs))
    if (variant !== ((whole ? undefined : ownValue(now.rigs, id)) ?? to.site))
      note("variantChosen", { variant, rigIds: [id], by: BY });
}

/** The contact of totality that comes next, earlier than it stands. */
function earlier({
  contacts,
  runNow,
  run,
}: Pick<RunView, "contacts" | "runNow"> & { run: RunRecord }): Payloads["contactShifted"] | null {
  for (const contact of ["c2", "c3"] as const) {
    const at = contacts[contact];
    if (at === null || at <= runNow) continue;
    return { contact, shiftMs: (run.shifts[contact] ?? 0) - EARLY_S * 1000, by: BY };
  }
  return null;
}
