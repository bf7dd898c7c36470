/** What a run was like against its plan: as JSON, and its cues as a table. */
import * as v from "valibot";
import { type Comparison, compareRuns } from "../../shared/review/compare.ts";
import { PracticesReviewer, type Review, RunReviewer } from "../../shared/review/review.ts";
import { READ } from "../../shared/review/run-collector.ts";
import { SCORES } from "../../shared/review/scores.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import { readInPieces } from "../log/read-in-pieces.ts";
import { inFileName, sendTable } from "./csv.ts";
import type { HubParts } from "./hub-parts.ts";
import { reviewRows } from "./review-table.ts";
import { type Reply, type Route, refusalReply, route } from "./route.ts";
import { askedRun, runQuery } from "./run-query.ts";
import { said } from "./said.ts";

const ReviewQuery = v.object(runQuery);

const ms = (says: string) => v.pipe(v.number(), v.description(says));
const ReviewAnswer = v.object({
  runId: v.string(),
  kind: v.picklist(["real", "practice"]),
  goesOn: v.boolean(),
  cues: v.array(
    v.object({
      rigId: v.string(),
      operator: v.string(),
      cueId: v.string(),
      dueRunMs: ms("Run time: UTC in a real run, shifted and scaled in practice"),
      doneRunMs: v.nullable(v.number()),
      score: v.picklist(SCORES),
      why: v.nullable(v.picklist(["skipped", "taken back", "nothing said"])),
      inPlaceBy: said(v.nullable(v.string()), "The lead who marked it in the operator's place"),
    }),
  ),
  filters: v.array(
    v.object({
      rigId: v.string(),
      openS: v.number(),
      sunlitS: said(v.number(), "Of it outside totality and the rig's allowance"),
      closedAfterC3S: v.nullable(v.number()),
    }),
  ),
  alerts: v.object({
    raised: v.number(),
    perTenMinutes: v.number(),
    byCause: v.record(v.string(), v.number()),
  }),
  frames: v.pipe(
    v.array(
      v.object({
        rigId: v.string(),
        count: v.number(),
        without: v.array(v.object({ cueId: v.string(), action: v.string(), dueRunMs: v.number() })),
      }),
    ),
    v.description("What instruments counted, and exposures and bursts without a frame in their window"),
  ),
  calls: v.array(v.object({ call: v.string(), atRunMs: v.number(), predictedRunMs: v.nullable(v.number()) })),
});

const counts = v.record(v.picklist(SCORES), v.number());
const ComparisonAnswer = v.object({
  runs: v.array(
    v.object({
      runId: v.string(),
      startedUtcMs: v.number(),
      anchor: v.string(),
      offsetS: v.number(),
      rate: v.number(),
      part: v.number(),
      repeats: v.number(),
      counts,
      allOnAfterC3S: v.nullable(v.number()),
    }),
  ),
  rigs: v.array(
    v.object({
      rigId: v.string(),
      name: v.string(),
      operator: v.string(),
      runs: v.array(
        v.object({
          runId: v.string(),
          played: said(v.boolean(), "By a simulated operator"),
          counts,
          latenessS: v.nullable(v.number()),
          closedAfterC3S: v.nullable(v.number()),
          openS: v.number(),
        }),
      ),
      trend: v.nullable(v.picklist(["better", "same", "worse"])),
      slow: v.array(v.object({ cueId: v.string(), late: v.number(), ofRuns: v.number() })),
      hands: v.array(
        v.object({ cueId: v.string(), plannedS: v.number(), measuredS: v.number(), ofRuns: v.number() }),
      ),
    }),
  ),
});

export function reviewRoutes(parts: HubParts): Route[] {
  const { keeper, log, clock } = parts;
  const reviewOf = async (runId: string): Promise<Review | null> => {
    const reviewer = new RunReviewer(runId);
    await readInPieces(log, { runId, saying: READ }, (event) => reviewer.take(event));
    const now = clock.now();
    const on = runId === keeper.state.realRunId || practiceAt(keeper.state, now)?.runId === runId;
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
        const runId = askedRun(query.run, parts);
        const review = await reviewOf(runId);
        return review ? { body: review } : none(runId);
      },
    }),
    route({
      method: "get",
      path: "/api/review/practices",
      access: "lead",
      summary: "All practice runs side by side: scores, what is still slow, how long hands need.",
      answers: ComparisonAnswer,
      handle: async () => {
        const reviewer = new PracticesReviewer();
        await readInPieces(log, { practices: true, saying: READ }, (event) => reviewer.take(event));
        const compared: Comparison = compareRuns(reviewer.reviews(clock.now()), keeper.state.plan.rigs);
        return { body: compared };
      },
    }),
    route({
      method: "get",
      path: "/api/review.csv",
      access: "lead",
      summary:
        "What happened in it as a table, a row a fact: cues, open filters, alerts, calls, faults; no cell can act as a formula.",
      query: ReviewQuery,
      answersAs: "text/csv",
      handle: async ({ query }) => {
        const runId = askedRun(query.run, parts);
        const review = await reviewOf(runId);
        if (!review) return none(runId);
        return {
          send: (response) =>
            sendTable(response, `noonfall-review-${inFileName(runId)}.csv`, reviewRows(review), "marked"),
        };
      },
    }),
  ];
}
