/**
 * A place where the group may stand, and what it takes to be ready there: kept beside the plan, so
 * that several can be compared before the day and one be moved to at the last hour.
 */
import * as v from "valibot";
import { planId } from "../../fields/id.ts";
import { numberWithin } from "../../fields/number.ts";
import { SiteSchema } from "../model/plan.ts";

/** More than can be compared side by side help nobody. */
export const CANDIDATES_MOST = 5;

/** The road's own time, typed by hand: no map is asked. */
const driveMin = numberWithin(0, 2880, "min");

export const CandidateSchema = v.strictObject({
  id: planId,
  site: SiteSchema,
  /** From where the group sets out; null as long as nobody has said. */
  driveMin: v.optional(v.nullable(driveMin), null),
  /** From arrival until everything stands ready: an hour and a half is common practice, no source. */
  setUpMin: v.optional(numberWithin(0, 1440, "min"), 90),
  /** For what nobody foresees on the road: common practice, no source. */
  marginMin: v.optional(numberWithin(0, 1440, "min"), 30),
});
export type Candidate = v.InferOutput<typeof CandidateSchema>;
export type CandidateDraft = v.InferInput<typeof CandidateSchema>;
