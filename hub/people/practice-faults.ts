/**
 * What a fault thrown into a practice run does. Nothing of it touches the real run's record: links are
 * held back, simulated operators fail, the practice run gets a variant, a shift or a doubt of its clock;
 * what only a person can act out they are told by a message. No clock is ever set: the hub's is that of
 * the real run, too.
 */
import type { EventType, Payloads } from "../../shared/run/events.ts";
import type { Fault } from "../../shared/run/orders/practice-programme.ts";
import type { RunRecord } from "../../shared/run/state.ts";
import type { RunView } from "../../shared/run/views/run-view.ts";
import type { Operator } from "./operator.ts";

/** Who is named in the record for what a fault does. */
const BY = "practice";
/** A contact that comes early does so by as much, s. */
const EARLY_S = 3;
/** A card changed by a simulated operator has so much room, GB. */
const NEW_CARD_GB = 64;

/** Told where the lead gave no words of their own. */
const TOLD: Record<Fault["kind"], string> = {
  "hub gone": "",
  "phone reload": "Practice: load this page again now.",
  cloud: "",
  "card full": "Practice: your card is full. Change it now.",
  "operator missing": "Practice: step back from your rig and do nothing until you are called.",
  "contact early": "",
  "clock stepped": "",
};

interface FaultPorts {
  /** Simulated operators by rig. */
  operators: ReadonlyMap<string, Operator>;
  /** Rigs to which a person's phone is linked. */
  people: ReadonlySet<string>;
  view: RunView;
  /** Holds links back; what it gives lets them in again. */
  holdBack: (rigIds: readonly string[]) => () => void;
  newId: () => string;
  /** Writes into the record of this practice run, and of no other, whatever is on by then. */
  note: <T extends EventType>(type: T, payload: Payloads[T]) => void;
}

/** Begins a fault and gives what ends it; null where nothing of it could be done. */
export function beginFault(fault: Fault, rigIds: readonly string[], ports: FaultPorts): (() => void) | null {
  const { operators, people, view, note, holdBack } = ports;
  const played = rigIds.flatMap((id) => operators.get(id) ?? []);
  const persons = rigIds.filter((id) => people.has(id));
  const tell = (): void => {
    if (persons.length === 0) return;
    const text = fault.words || TOLD[fault.kind];
    note("messageSent", { messageId: ports.newId(), text, rigIds: persons, by: BY });
  };
  const each = (begin: (operator: Operator) => void, end: (operator: Operator) => void = () => {}) => {
    if (played.length === 0 && persons.length === 0) return null;
    tell();
    played.forEach(begin);
    return () => played.forEach(end);
  };
  switch (fault.kind) {
    case "hub gone": {
      // A phone that must not miss a call stays linked: its filter could really be open (S7, S8).
      const touchOnly = new Set(view.rigs.filter((rig) => rig.touchOnly).map(({ rig }) => rig.id));
      const held = rigIds.filter((id) => operators.has(id) || (people.has(id) && !touchOnly.has(id)));
      return held.length === 0 ? null : holdBack(held);
    }
    case "phone reload":
      return each((operator) => operator.reload());
    case "card full":
      return each(
        (operator) => operator.say({ cardFreeGB: 0 }),
        (operator) => operator.say({ cardFreeGB: NEW_CARD_GB }),
      );
    case "operator missing":
      return each(
        (operator) => operator.setIdle(true),
        (operator) => operator.setIdle(false),
      );
    case "cloud": {
      const before = view.run.variant.site;
      const choose = (variant: typeof before) =>
        note("variantChosen", { variant, rigIds: fault.rigIds, by: BY });
      choose("overcast");
      for (const operator of played) operator.say({ sky: "overcast" });
      return () => {
        choose(before);
        for (const operator of played) operator.say({ sky: "clear" });
      };
    }
    case "contact early": {
      const shift = earlier(view);
      if (!shift) return null;
      note("contactShifted", shift);
      return () => {};
    }
    case "clock stepped": {
      const { kind, rigIds: struck } = fault;
      return () => note("practiceFault", { kind, rigIds: struck, forS: 0, over: true, by: BY });
    }
  }
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
