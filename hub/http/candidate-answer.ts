/** What is answered about places where the group may stand, as schemas. */
import * as v from "valibot";
import { SiteSchema } from "../../shared/plan/model/plan.ts";
import { CandidateSchema } from "../../shared/plan/places/candidate.ts";
import type { RigMoved } from "../../shared/plan/places/what-moved.ts";
import { planNote } from "./answers.ts";
import { said } from "./said.ts";

const maybeNumber = v.nullable(v.number());

const departure = v.object({
  anchor: said(v.picklist(["C2", "max"]), "What it is counted back from; max where there is no C2"),
  utc: said(v.string(), "ISO 8601 with ms, UTC"),
  utcMs: v.number(),
  zone: said(v.string(), "IANA zone of the place, for its local time"),
});
const gets = v.object({
  kind: said(v.picklist(["none", "partial", "annular", "total"]), "What counts for filters"),
  visible: v.boolean(),
  durationS: said(v.number(), "Of totality or ring, limb included; 0 without"),
  obscuration: v.number(),
  altitudeDeg: said(maybeNumber, "Of the Sun's centre at maximum, without refraction"),
  azimuthDeg: maybeNumber,
  timingBoundS: said(v.number(), "How good C2 and C3 are"),
  beadsC2S: said(maybeNumber, "For how long beads show before C2"),
  beadsC3S: said(maybeNumber, "For how long beads show after C3"),
  c2Utc: v.nullable(v.string()),
  departure: said(v.nullable(departure), "Null as long as nobody has said how long the drive is"),
});
export const CandidatesAnswer = v.object({
  eclipse: said(v.nullable(v.string()), "That of the plan"),
  candidates: v.array(
    v.object({
      ...CandidateSchema.entries,
      here: said(v.boolean(), "Whether the plan is for this place"),
      gets: v.nullable(gets),
    }),
  ),
  cameFrom: said(v.nullable(SiteSchema), "Where the site was before the last move"),
});

const ids = v.array(v.string());
export const MovedAnswer = v.object({
  revision: said(v.number(), "Of the plan"),
  site: v.nullable(SiteSchema),
  rigs: v.array(
    v.object({
      rigId: v.string(),
      added: said(ids, "Cues that came"),
      gone: ids,
      changed: ids,
      opened: said(v.boolean(), "Whether a cue took its filter off before"),
      opens: v.boolean(),
      notes: v.array(planNote),
    } satisfies Record<keyof RigMoved, v.GenericSchema>),
  ),
});
