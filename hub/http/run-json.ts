/** GET /api/run: the run that is on, every rig, alerts and contacts. */
import type { ContactName } from "../../shared/eclipse/circumstances-types.ts";
import { ownValue } from "../../shared/fields/own-key.ts";
import { isExposed } from "../../shared/run/alerts/exposure.ts";
import { effectiveContacts } from "../../shared/run/effective-contacts.ts";
import { STATE_FIELDS, type StateNow } from "../../shared/run/facts/reported-fields.ts";
import { utcOfRun } from "../../shared/run/run-time.ts";
import type { RigStatus } from "../../shared/run/views/rig-status.ts";
import { rollAnswers } from "../../shared/run/views/roll-answers.ts";
import { viewRun } from "../../shared/run/views/run-view.ts";
import { isoUtc } from "../../shared/time/iso.ts";
import type { RunAnswer } from "./answers.ts";
import type { HubParts } from "./hub-parts.ts";
import { instrumentValues, sourcesOf } from "./said-json.ts";

export function runJson({ keeper, presence, alerts, clock }: HubParts): RunAnswer {
  const { state } = keeper;
  // The alerts are of the same look.
  const view = alerts.check() ?? viewRun(state, presence.get(), alerts.clockHealth(), clock.now());
  const { now, practice } = view;
  const predicted = effectiveContacts(state.circumstances, { shifts: {}, calls: [] });
  const contact = (name: ContactName): RunAnswer["contacts"][ContactName] => {
    const at = view.contacts[name];
    if (at === null) return null;
    const before = predicted[name];
    return {
      utc: isoUtc(at),
      utcMs: at,
      predictedUtc: before === null ? null : isoUtc(before),
      realUtcMs: utcOfRun(practice, at),
    };
  };
  return {
    runId: view.run.runId,
    kind: view.run.kind,
    practice,
    planRevision: state.plan.revision,
    eclipse: state.plan.eclipse,
    site: state.plan.site,
    utcMs: now,
    runUtcMs: view.runNow,
    exposed: isExposed(state, view.contacts, view.runNow),
    cover: state.cover,
    doubt: view.doubt,
    calls: [...view.run.calls],
    rigs: view.rigs.map((status) => ({
      id: status.rig.id,
      name: status.rig.name,
      kind: status.rig.kind,
      operator: status.rig.operator,
      filter: status.filter,
      filterSaid: status.verdict.state,
      filterDisputed: status.verdict.disputedBy.length > 0,
      exposed: status.exposed,
      ...stateOf(status),
      ...instrumentValues(status),
      from: sourcesOf(status),
      help: status.help?.value ?? false,
      linked: status.linked.length > 0,
      devices: [...status.devices],
      practiceSafe: status.practiceSafe,
      lastUtcMs: status.lastUtcMs,
      latenessS: status.latenessS,
      cueNow: status.cueNow && cueJson(status.cueNow),
      cueNext: status.cueNext && cueJson(status.cueNext),
      cues: status.cues.map(cueJson),
    })),
    alerts: alerts.standing().map(({ rigId, ...alert }) => {
      const known = ownValue(state.alerts, alert.id);
      return {
        ...alert,
        ...(rigId ? { rigId } : {}),
        takenBy: known?.takenBy ?? null,
        seenBy: known?.seenBy ?? null,
        shelvedUntilUtcMs: known?.shelvedUntilUtcMs ?? null,
      };
    }),
    roll: state.roll && {
      ...state.roll,
      rigIds: listed(state.roll.rigIds),
      answers: rollAnswers(state, view.run, state.roll),
    },
    messages: state.messages.map((message) => ({ ...message, rigIds: listed(message.rigIds) })),
    contacts: {
      c1: contact("c1"),
      c2: contact("c2"),
      max: contact("max"),
      c3: contact("c3"),
      c4: contact("c4"),
    },
  };
}

function listed(rigIds: readonly string[] | null): string[] | null {
  return rigIds && [...rigIds];
}

function stateOf(status: RigStatus): StateNow {
  return Object.fromEntries(STATE_FIELDS.map((field) => [field, status[field]])) as StateNow;
}

function cueJson(
  cue: ReturnType<typeof viewRun>["rigs"][number]["cues"][number],
): RunAnswer["rigs"][number]["cues"][number] {
  return {
    id: cue.id,
    state: cue.state,
    action: cue.cue.action,
    key: cue.cue.key,
    say: cue.cue.say,
    dueRunMs: cue.dueMs,
    fromRunMs: cue.fromMs,
    toRunMs: cue.toMs,
    lateS: cue.lateS,
    mode: cue.mode,
  };
}
