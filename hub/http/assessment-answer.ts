/** What POST /api/plan/check gives, for whoever reads it: shared/plan/assess says how it is made. */
import * as v from "valibot";
import { PHENOMENA } from "../../shared/budget/phenomena.ts";
import { ANCHORS } from "../../shared/plan/model/vocabulary.ts";
import { said } from "./said.ts";

const maybeNumber = v.nullable(v.number());

const finding = v.object({
  code: v.string(),
  rule: said(v.optional(v.string()), "S1 to S15; absent for what is no rule of safety"),
  rigId: v.optional(v.string()),
  cueId: v.optional(v.string()),
  field: said(v.optional(v.string()), "Path into the plan"),
  severity: said(
    v.picklist(["refused", "acknowledge", "advice"]),
    "refused is never saved, acknowledge with a lead's name, advice always",
  ),
  message: v.string(),
  data: v.record(v.string(), v.union([v.string(), v.number()])),
});

const change = v.variant("kind", [
  v.object({ kind: v.literal("earlier"), rigId: v.string(), cueId: v.string(), byS: v.number() }),
  v.object({ kind: v.literal("drop"), rigId: v.string(), cueId: v.string() }),
  v.object({
    kind: v.literal("hand-over"),
    rigId: v.string(),
    to: said(v.string(), "Whose hands; empty for one more person"),
  }),
]);

const fromContact = {
  anchor: v.picklist(ANCHORS),
};
const hands = v.object({
  operator: said(v.string(), "Empty for a rig that names nobody"),
  rigIds: v.array(v.string()),
  feasible: v.boolean(),
  slackS: said(
    maybeNumber,
    "Seconds that everything may take longer, 30 at most; null where it does not fit",
  ),
  exact: said(v.boolean(), "false: the best that was found, not proved"),
  order: v.array(
    v.object({
      rigId: v.string(),
      cueId: v.string(),
      n: said(v.number(), "Which of a series, 1 for the first"),
      startS: said(v.number(), "Seconds from the anchor"),
      endS: v.number(),
      ...fromContact,
      with: said(v.exactOptional(v.array(v.string())), "Who does it with them; absent where nobody has to"),
    }),
  ),
  dropped: v.array(v.object({ rigId: v.string(), cueId: v.string(), atS: v.number(), ...fromContact })),
  mends: v.array(v.object({ changes: v.array(change), slackS: maybeNumber })),
});

const budget = v.object({
  exposure: v.array(
    v.object({
      phenomenon: v.picklist(PHENOMENA),
      seconds: v.number(),
      stop: said(v.string(), "The camera's nearest time as printed on it"),
      offStops: v.number(),
    }),
  ),
  bracket: v.nullable(
    v.object({
      frames: v.array(v.object({ name: v.string(), seconds: v.number() })),
      lengthS: v.number(),
      fits: said(v.number(), "How many of them totality leaves room for"),
    }),
  ),
  framing: v.nullable(
    v.object({
      sunMm: v.number(),
      sunPx: maybeNumber,
      fieldWidthDeg: maybeNumber,
      fieldHeightDeg: maybeNumber,
      radiiThatFit: maybeNumber,
      driftPxPerS: maybeNumber,
      longestSharpS: maybeNumber,
    }),
  ),
  frames: v.number(),
  storageGB: maybeNumber,
  cardFullAtUtcMs: maybeNumber,
  batteryEndsAtUtcMs: maybeNumber,
  burstS: maybeNumber,
});

export const AssessmentAnswer = v.object({
  findings: v.array(finding),
  hands: v.array(hands),
  budgets: said(v.record(v.string(), budget), "By rig"),
});
