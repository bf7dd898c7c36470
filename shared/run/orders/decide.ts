/**
 * Decides orders of a lead: given the state and the context, the events that follow or a
 * refusal. Pure: time, ids, the solver and the clock come in. Facts are decided in
 * decide-fact.ts, and are never refused for the state.
 */

import { ownValue } from "../../fields/own-key.ts";
import { localEclipse } from "../../plan/local-eclipse.ts";
import { later, type RunMs, utcMs } from "../../time/instants.ts";
import { neverShelved } from "../alerts/answerable.ts";
import { knowsCue } from "../cues/cue-timeline.ts";
import { doubtAt, eyeBelievedFromMs } from "../doubt.ts";
import {
  anchorMs,
  contactsOf,
  type EffectiveContacts,
  effectiveContacts,
  isAhead,
  predictedOfCall,
} from "../effective-contacts.ts";
import type { Payloads } from "../events.ts";
import { decideFact } from "../facts/decide-fact.ts";
import type { EventDraft } from "../logged-event.ts";
import { currentRun, PRACTICE_CLEAR_MS, practiceAt, runTime } from "../run-time.ts";
import type { SiteState } from "../state.ts";
import { standingTotality } from "./calls.ts";
import type { Fact, Order } from "./commands.ts";
import { decidePlan } from "./decide-plan.ts";
import { type Context, type Decision, draftOf, no, yes } from "./decision.ts";
import type { ProgrammeOrder } from "./practice-programme.ts";

/** A practice that nobody ends is ended after this, ms. */
const PRACTICE_LONGEST_MS = 12 * 3_600_000;

export function decide(state: SiteState, order: Order, context: Context): Decision {
  switch (order.type) {
    case "savePlan":
    case "saveSite":
    case "saveRig":
    case "removeRig":
    case "takeBackEdit":
    case "copyEdits":
      return decidePlan(state, order, context);
    case "chooseVariant":
      if (order.rigIds?.some((id) => !hasRig(state, id))) return unknownRig("rigIds");
      return yes(context, runIdAt(state, context), "variantChosen", {
        variant: order.variant,
        rigIds: order.rigIds,
        by: context.actor,
      });
    case "startPractice":
      return startPractice(state, order, context);
    case "endPractice": {
      const practice = state.practice;
      if (!practice) return no("no-practice", "no practice run is on");
      return yes(context, practice.runId, "practiceEnded", { runId: practice.runId, reason: "lead" });
    }
    case "call":
      return call(state, order.call, context);
    case "takeBackCall": {
      const run = currentRun(state, context.now);
      const found = run.calls.find((item) => item.callId === order.callId);
      if (!found) return no("not-found", "callId names no call of this run", { field: "callId" });
      if (found.takenBack) return { events: [] };
      return yes(context, run.runId, "callTakenBack", { callId: order.callId, by: context.actor });
    }
    case "shiftContact": {
      const run = currentRun(state, context.now);
      const base = effectiveContacts(state.circumstances, { shifts: {}, calls: [] });
      if (base[order.contact] === null) {
        return no("no-such-contact", `contact ${order.contact} does not happen at this site`, {
          field: "contact",
        });
      }
      if (!isAhead(contactsOf(state, run), order.contact, runTimeAt(state, context)))
        return no(
          "contact-passed",
          `contact ${order.contact} has passed: only what is ahead can be shifted`,
          {
            field: "contact",
          },
        );
      return yes(context, run.runId, "contactShifted", {
        contact: order.contact,
        shiftMs: Math.round(order.shiftS * 1000),
        ...(order.reason === undefined ? {} : { reason: order.reason }),
        by: context.actor,
      });
    }
    case "callRoll":
      if (order.rigIds?.some((id) => !hasRig(state, id))) return unknownRig("rigIds");
      return yes(context, runIdAt(state, context), "rollCalled", {
        rollId: context.commandId,
        rigIds: order.rigIds,
        untilUtcMs: later(context.now, order.withinS * 1000),
        by: context.actor,
      });
    case "answerAlert":
      return answerAlert(state, order, context);
    case "markCue":
      return markCue(state, order, context);
    case "cover":
      return yes(context, runIdAt(state, context), "coverOrdered", { by: context.actor });
    case "releaseCover":
      // Always: pages may have heard a cover that the log never got, or not this state yet.
      return yes(context, runIdAt(state, context), "coverReleased", { by: context.actor });
    case "answerHelp":
      return answerHelp(state, order.rigId, context);
    case "revokeLink":
      if (!hasRig(state, order.rigId)) return unknownRig("rigId");
      return yes(context, runIdAt(state, context), "linkRevoked", {
        rigId: order.rigId,
        generation: (ownValue(state.generations, order.rigId) ?? 0) + 1,
      });
    case "sendMessage":
      if (order.rigIds?.some((id) => !hasRig(state, id))) return unknownRig("rigIds");
      return yes(context, runIdAt(state, context), "messageSent", {
        messageId: context.commandId,
        text: order.text,
        rigIds: order.rigIds,
        ...(order.urgent ? { urgent: true } : {}),
        by: context.actor,
      });
    case "noteImages": {
      const { type: _, runId, ...said } = order;
      if (!hasRig(state, order.rigId)) return unknownRig("rigId");
      if (runId !== null && !ownValue(state.runs, runId))
        return no("not-found", `there is no run ${runId}`, { field: "runId" });
      return yes(context, runId ?? runIdAt(state, context), "imagesNoted", {
        noteId: context.commandId,
        ...said,
        by: context.actor,
      });
    }
    case "noteSeenContact": {
      const { type: _, ...seen } = order;
      if (!hasRig(state, order.rigId)) return unknownRig("rigId");
      if (order.afterMs < order.beforeMs)
        return no("bad-input", "afterMs must not be before beforeMs", { field: "afterMs" });
      return yes(context, runIdAt(state, context), "contactSeen", {
        seenId: context.commandId,
        ...seen,
        by: context.actor,
      });
    }
    case "noteCameraClock": {
      const { type: _, ...said } = order;
      if (!hasRig(state, order.rigId)) return unknownRig("rigId");
      return yes(context, runIdAt(state, context), "cameraClockNoted", {
        clockId: context.commandId,
        ...said,
        by: context.actor,
      });
    }
  }
}

function startPractice(
  state: SiteState,
  order: Extract<Order, { type: "startPractice" }>,
  context: Context,
): Decision {
  const { now } = context;
  if (!state.circumstances) {
    return no("no-site", "choose an eclipse and a site before practising", { field: "anchor" });
  }
  const contacts = effectiveContacts(state.circumstances, { shifts: {}, calls: [] });
  const anchor = anchorMs(contacts, order.anchor);
  if (anchor === null) {
    return no("no-such-contact", `${order.anchor} does not happen at this site`, { field: "anchor" });
  }
  const { c1, c4 } = contacts;
  if (c1 !== null && c4 !== null && now >= c1 - PRACTICE_CLEAR_MS && now <= c4) {
    return no(
      "too-close-to-eclipse",
      "no practice from 20 minutes before the real first contact to the last",
    );
  }
  const startRunMs = later(anchor, order.offsetS * 1000);
  const trouble = order.programme && programmeTrouble(state, order.programme, contacts, startRunMs);
  if (trouble) return trouble;
  let endsAtUtcMs = now + PRACTICE_LONGEST_MS;
  if (c1 !== null && now < c1) endsAtUtcMs = Math.min(endsAtUtcMs, c1 - PRACTICE_CLEAR_MS);
  const untilRunMs = segmentEndMs(order.programme, contacts);
  if (untilRunMs !== null) endsAtUtcMs = Math.min(endsAtUtcMs, now + (untilRunMs - startRunMs) / order.rate);
  const runId = `practice-${context.newId()}`;
  const events: EventDraft[] = [];
  if (state.practice) {
    const old = state.practice.runId;
    events.push(draftOf(context, old, "practiceEnded", { runId: old, reason: "lead" }));
  }
  events.push(
    draftOf(context, runId, "practiceStarted", {
      runId,
      anchor: order.anchor,
      offsetS: order.offsetS,
      rate: order.rate,
      startedUtcMs: now,
      startRunMs,
      endsAtUtcMs: utcMs(endsAtUtcMs),
      ...(order.programme && {
        programme: { ...order.programme, id: order.programme.id ?? `programme-${context.newId()}` },
      }),
    }),
  );
  return { events };
}

function segmentEndMs(programme: ProgrammeOrder | undefined, contacts: EffectiveContacts): number | null {
  if (!programme?.until) return null;
  const at = anchorMs(contacts, programme.until.anchor);
  return at === null ? null : at + programme.until.offsetS * 1000;
}

/** Why a programme cannot be run as it is; the refusal names the field. */
function programmeTrouble(
  state: SiteState,
  programme: ProgrammeOrder,
  contacts: EffectiveContacts,
  startRunMs: number,
): Decision | null {
  const { until, played, safe, faults, repeats } = programme;
  const named = { played, safe, faults: faults.flatMap((fault) => fault.rigIds ?? []) };
  for (const [name, ids] of Object.entries(named))
    if (ids.some((rigId) => !hasRig(state, rigId))) return unknownRig(`programme.${name}`);
  const hangs = { until: until ? [until] : [], faults };
  for (const [name, list] of Object.entries(hangs)) {
    const lost = list.find(({ anchor }) => anchorMs(contacts, anchor) === null);
    if (!lost) continue;
    return no("no-such-contact", `${lost.anchor} does not happen at this site`, {
      field: `programme.${name}`,
    });
  }
  const field = "programme.until";
  const end = segmentEndMs(programme, contacts);
  if (end === null) {
    return repeats > 1 ? no("bad-input", `${field} is needed where a segment is repeated`, { field }) : null;
  }
  return end <= startRunMs ? no("bad-input", `${field} must come after the start`, { field }) : null;
}

/** S6. Safe calls are always taken; a call of totality only where and when it can be true. */
function call(state: SiteState, name: Payloads["called"]["call"], context: Context): Decision {
  const run = currentRun(state, context.now);
  const atRunMs = runTimeAt(state, context);
  const contacts = contactsOf(state, run);
  if (name === "totality") {
    if (localEclipse(state.circumstances).kind !== "total") {
      return no("safety-rule", "S2: there is no totality at this site; filters stay on throughout", {
        rule: "S2",
        field: "call",
        data: { reason: "no-totality" },
      });
    }
    const earliest = eyeBelievedFromMs(contacts, doubtAt(state, run, context.clock, context.now));
    if (earliest === null || atRunMs < earliest) {
      return no("safety-rule", "S6: too early to call totality; C2 is more than 5 s and the doubt away", {
        rule: "S6",
        field: "call",
        data: { reason: "too-early" },
      });
    }
    if (state.cover) {
      return no("safety-rule", "S7: every lens is covered until a lead releases it", {
        rule: "S7",
        field: "call",
        data: { reason: "covered" },
      });
    }
    // A call that stands is not made a second time.
    if (standingTotality(run.calls)) return { events: [] };
    if (contacts.c3 !== null && atRunMs >= contacts.c3) {
      return no("safety-rule", "S6: totality is over at this site", {
        rule: "S6",
        field: "call",
        data: { reason: "over" },
      });
    }
  }
  return yes(context, run.runId, "called", {
    callId: context.commandId,
    call: name,
    atRunMs,
    predictedRunMs: predictedOfCall(name, contacts),
    by: context.actor,
  });
}

/** Danger, and whatever eyes hang on, is never put away for a time. */
function answerAlert(
  state: SiteState,
  { alertId, answer, forS }: Extract<Order, { type: "answerAlert" }>,
  context: Context,
): Decision {
  const alert = ownValue(state.alerts, alertId);
  if (!alert) return no("not-found", "alertId names no alert that stands", { field: "alertId" });
  if (answer === "shelved" && neverShelved(alert)) {
    return no("safety-rule", "S1: danger, and what eyes hang on, cannot be shelved", {
      rule: "S1",
      field: "answer",
      data: { reason: "never-shelved" },
    });
  }
  // Of two who say so at once the first goes; the other is told, and stays.
  if (answer === "taken" && alert.takenBy !== null && alert.takenBy !== context.actor)
    return no("taken", `${alert.takenBy} has said to be coming`, {
      field: "answer",
      data: { by: alert.takenBy },
    });
  return yes(context, runIdAt(state, context), "alertAnswered", {
    alertId,
    answer,
    untilUtcMs: answer === "shelved" ? later(context.now, forS * 1000) : null,
    by: context.actor,
  });
}

/** A report like any other of that rig, in the name of the lead who stands there. */
function markCue(
  state: SiteState,
  { rigId, cueId, mark }: Extract<Order, { type: "markCue" }>,
  context: Context,
): Decision {
  const rig = state.plan.rigs.find(({ id }) => id === rigId);
  if (!rig) return unknownRig("rigId");
  if (!knowsCue(rig, cueId)) return no("not-found", "cueId names no cue of this rig", { field: "cueId" });
  const { actor, commandId, now } = context;
  const fact: Fact = {
    v: 1,
    rigId,
    runId: null,
    // Rises with every event of the site, so with every word of this lead.
    deviceSeq: state.seq + 1,
    observedUtcMs: now,
    boundMs: null,
    // Who takes a cue over stands there and looks (S9).
    report: mark === "done" ? { cueDone: cueId, looked: true } : { cueSkipped: cueId },
  };
  const decided = { actor, commandId, deviceId: actor, now, linkRevoked: false };
  return { events: [decideFact(state, fact, decided)] };
}

/** In the run that is on, and in the real one too where help was asked before a practice began. */
function answerHelp(state: SiteState, rigId: string, context: Context): Decision {
  if (!hasRig(state, rigId)) return unknownRig("rigId");
  const runIds = new Set([runIdAt(state, context)]);
  if (ownValue(state.runs[state.realRunId]?.rigs ?? {}, rigId)?.help?.value) runIds.add(state.realRunId);
  return { events: [...runIds].map((runId) => draftOf(context, runId, "helpAnswered", { rigId })) };
}

function runTimeAt(state: SiteState, { now }: Context): RunMs {
  return runTime(practiceAt(state, now), now);
}

function runIdAt(state: SiteState, context: Context): string {
  return currentRun(state, context.now).runId;
}

function hasRig(state: SiteState, rigId: string): boolean {
  return state.plan.rigs.some((rig) => rig.id === rigId);
}

function unknownRig(field: string): Decision {
  return no("not-found", `${field} names no rig of this plan`, { field });
}
