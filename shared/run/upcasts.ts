/**
 * Reads events of older versions as today's: when a payload changes, raise its number in
 * EVENT_VERSIONS and add the step here, never edit a logged event.
 *
 * A field that a plan may do without needs no new version: what an older program could not write
 * yet is read as the schema has it by default.
 */
import * as v from "valibot";
import type { Circumstances } from "../eclipse/circumstances-types.ts";
import { ownValue } from "../fields/own-key.ts";
import { defaultCues } from "../plan/defaults/default-cues.ts";
import { editsBetween } from "../plan/edits/edits-between.ts";
import { localEclipse } from "../plan/local-eclipse.ts";
import { PlanSchema, type Rig, RigSchema, SitePartSchema, SiteSchema } from "../plan/model/plan.ts";
import { EVENT_VERSIONS, type EventType, type SiteEvent } from "./events.ts";
import type { LoggedEvent } from "./logged-event.ts";

type Step = (payload: unknown) => unknown;
/** UPCASTS[type][n] turns version n into n + 1. */
const UPCASTS: Partial<Record<EventType, Record<number, Step>>> = {
  planSaved: { 1: withEdits },
};

/** What a plan's events lack of fields that have a default. */
const FILLED: Partial<Record<EventType, Step>> = {
  planSaved: inField("plan", (plan) => {
    const whole = filled(PlanSchema, plan);
    const site = whole.site ? filled(SiteSchema, whole.site) : whole.site;
    const rigs = Array.isArray(whole.rigs) ? whole.rigs.map((rig) => filled(RigSchema, rig)) : whole.rigs;
    return { ...whole, site, rigs };
  }),
  sitePlanned: inField("part", (part) => {
    const whole = filled(SitePartSchema, part);
    return { ...whole, site: whole.site ? filled(SiteSchema, whole.site) : whole.site };
  }),
  rigPlanned: inField("rig", (rig) => filled(RigSchema, rig)),
};

export class UnknownEventError extends Error {
  override name = "UnknownEventError";
}

/** Today's form of a logged event. Throws UnknownEventError for one from a newer program. */
export function upcast(event: LoggedEvent): SiteEvent {
  const type = event.type as EventType;
  const target = ownValue(EVENT_VERSIONS, type);
  if (target === undefined || event.v > target) {
    throw new UnknownEventError(
      `event ${event.seq} is a ${event.type} of version ${event.v}, made by a newer program`,
    );
  }
  const fill = FILLED[type];
  if (event.v === target && !fill) return event as SiteEvent;
  let payload = fill ? fill(event.payload) : event.payload;
  for (let version = event.v; version < target; version++) {
    const step = UPCASTS[type]?.[version];
    if (!step) throw new UnknownEventError(`no way from version ${version} of ${event.type}`);
    payload = step(payload);
  }
  return { ...event, v: target, payload } as SiteEvent;
}

/**
 * Version 1 held rigs as they were settled and no edits: these are what differs from today's
 * default list. The list itself stays as it was saved.
 */
function withEdits(payload: unknown): unknown {
  const { plan, circumstances } = payload as { plan: { rigs: Rig[] }; circumstances: Circumstances | null };
  try {
    const gets = localEclipse(circumstances);
    const rigs = plan.rigs.map((rig) => {
      const edits = editsBetween(defaultCues(rig, gets), rig.cues);
      return edits.length > 0 ? { ...rig, edits } : rig;
    });
    return { ...(payload as object), plan: { ...plan, rigs } };
  } catch {
    // A damaged one stays as it is: whoever looks it over (event-schemas.ts) names the field.
    return payload;
  }
}

function inField(field: string, change: Step): Step {
  return (payload) => {
    const value = isRecord(payload) ? payload[field] : undefined;
    return isRecord(value) ? { ...(payload as object), [field]: change(value) } : payload;
  };
}

function filled(schema: Parameters<typeof v.getDefaults>[0], value: unknown): Record<string, unknown> {
  const given = isRecord(value) ? value : {};
  const lacking = Object.entries(v.getDefaults(schema) as Record<string, unknown>).filter(
    ([field, usual]) => usual !== undefined && given[field] === undefined,
  );
  return lacking.length === 0
    ? given
    : { ...given, ...JSON.parse(JSON.stringify(Object.fromEntries(lacking))) };
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
