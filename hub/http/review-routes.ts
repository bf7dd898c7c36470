/** What a run was like against its plan: as JSON, and its cues as a table. */
import { setImmediate as otherWork } from "node:timers/promises";
import * as v from "valibot";
import { id as runId } from "../../shared/fields/id.ts";
import { type Review, RunReviewer } from "../../shared/review/review.ts";
import { SCORES } from "../../shared/review/scores.ts";
import type { SiteEvent } from "../../shared/run/events.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import { upcast } from "../../shared/run/upcasts.ts";
import { isoUtc } from "../../shared/time/iso.ts";
import type { HubParts } from "./hub-parts.ts";
import { cell } from "./log-export.ts";
import { type Reply, type Route, refusalReply, route } from "./route.ts";

/** Events folded before the hub looks after everybody else: some ms on a laptop. */
const EVENTS_AT_ONCE = 500;
/** Or for how long, ms: a report takes microseconds, a plan of sixty rigs that an earlier program saved 13 ms. */
const PIECE_MS = 3;

const ReviewQuery = v.object({
  run: v.pipe(runId, v.description("The run's id, as GET /api/log.json names it")),
});

const ms = (says: string) => v.pipe(v.number(), v.description(says));
const ReviewAnswer = v.object({
  runId: v.string(),
  kind: v.picklist(["real", "practice"]),
  cues: v.array(
    v.object({
      rigId: v.string(),
      operator: v.string(),
      cueId: v.string(),
      dueRunMs: ms("Run time: UTC in a real run, shifted and scaled in practice"),
      doneRunMs: v.nullable(v.number()),
      score: v.picklist(SCORES),
    }),
  ),
  filters: v.array(
    v.object({ rigId: v.string(), openS: v.number(), closedAfterC3S: v.nullable(v.number()) }),
  ),
  alerts: v.object({
    raised: v.number(),
    perTenMinutes: v.number(),
    byCause: v.record(v.string(), v.number()),
  }),
  calls: v.array(v.object({ call: v.string(), atRunMs: v.number(), predictedRunMs: v.nullable(v.number()) })),
});

export function reviewRoutes({ keeper, log, clock }: HubParts): Route[] {
  /** In pieces, so that a night of a million events holds nobody up. */
  const reviewOf = async (runId: string): Promise<Review | null> => {
    const reviewer = new RunReviewer(runId);
    let taken = 0;
    let since = performance.now();
    for (const event of log.read({ runId, withDecisions: true })) {
      reviewer.take(upcast(event) as SiteEvent);
      if (++taken % EVENTS_AT_ONCE !== 0 && performance.now() - since < PIECE_MS) continue;
      await otherWork();
      since = performance.now();
    }
    const now = clock.now();
    const on = (practiceAt(keeper.state, now)?.runId ?? keeper.state.realRunId) === runId;
    return reviewer.review(on ? now : null);
  };
  const none = (runId: string): Reply =>
    refusalReply(refusal("not-found", `no run ${runId} in the log`, { field: "run" }));
  return [
    route({
      method: "get",
      path: "/api/review",
      access: "lead",
      summary: "A run against its plan: scores of cues, open filters, alerts and their rate, calls by eye.",
      query: ReviewQuery,
      answers: ReviewAnswer,
      handle: async ({ query }) => {
        const review = await reviewOf(query.run);
        return review ? { body: review } : none(query.run);
      },
    }),
    route({
      method: "get",
      path: "/api/review.csv",
      access: "lead",
      summary: "The cues of it as a table; no cell can act as a formula.",
      query: ReviewQuery,
      answersAs: "text/csv",
      handle: async ({ query }) => {
        const review = await reviewOf(query.run);
        if (!review) return none(query.run);
        return {
          send: (response) => {
            response.type("text/csv; charset=utf-8");
            const name = query.run.replace(/[^A-Za-z0-9_-]/g, "-");
            response.setHeader("Content-Disposition", `attachment; filename="noonfall-review-${name}.csv"`);
            response.end(reviewCsv(review));
          },
        };
      },
    }),
  ];
}

const COLUMNS = ["rig", "operator", "cue", "due_utc", "done_utc", "late_s", "score", "why"] as const;

/** Times are run time: in a practice those of the day that is practised. */
function reviewCsv({ cues, rigs }: Review): string {
  const names = new Map(rigs.map(({ id, name }) => [id, name]));
  const rows = cues.map((cue) => [
    names.get(cue.rigId) ?? cue.rigId,
    cue.operator,
    cue.cueId,
    isoUtc(cue.dueRunMs),
    cue.doneRunMs === null ? null : isoUtc(cue.doneRunMs),
    cue.doneRunMs === null ? null : Math.round((cue.doneRunMs - cue.dueRunMs) / 100) / 10,
    cue.score,
    cue.why,
  ]);
  return [COLUMNS, ...rows].map((row) => `${row.map(cell).join(",")}\r\n`).join("");
}
