/**
 * The debrief of a site of a million events, as the hub makes it: reports of twenty rigs, one in five of
 * them about a cue or a filter. And all practice runs side by side, of the same log.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { monitorEventLoopDelay } from "node:perf_hooks";
import { readInPieces } from "../../hub/log/read-in-pieces.ts";
import { openLog } from "../../hub/log/site-folder.ts";
import { compareRuns } from "../../shared/review/compare.ts";
import { PracticesReviewer, RunReviewer } from "../../shared/review/review.ts";
import { READ } from "../../shared/review/run-collector.ts";
import type { SiteEvent } from "../../shared/run/events.ts";
import { utcMs } from "../../shared/time/instants.ts";
import { reported, writeMillion } from "./hub/million.ts";

const RUN = "real-2027-08-02";
const PASSES = 3;

interface Took {
  ms: number;
  processorMs: number;
}

export async function run(): Promise<Array<{ figure: string; value: number; unit: string }>> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-bench-"));
  try {
    await writeMillion(folder, true, said);
    const log = openLog(folder, "site");
    const debriefs: Took[] = [];
    const delay = monitorEventLoopDelay({ resolution: 1 });
    delay.enable();
    for (let pass = 0; pass < PASSES; pass++) {
      debriefs.push(
        await timed(async () => {
          const reviewer = new RunReviewer(RUN);
          await readInPieces(log, { runId: RUN, saying: READ }, (event) => reviewer.take(event));
          const body = JSON.stringify(reviewer.review(null));
          if (!body.includes("filter-on")) throw new Error("there is no debrief");
        }),
      );
    }
    delay.disable();
    const comparison = await timed(async () => {
      const reviewer = new PracticesReviewer();
      await readInPieces(log, { practices: true, saying: READ }, (event) => reviewer.take(event));
      if (compareRuns(reviewer.reviews(utcMs(Date.now())), []).runs.length > 0)
        throw new Error("there is a practice");
    });
    await log.close();
    const best = debriefs.reduce((a, b) => (b.ms < a.ms ? b : a));
    return [
      { figure: "debrief of a million events, best of 3", value: best.ms, unit: "ms" },
      { figure: "debrief of a million events: processor time", value: best.processorMs, unit: "ms" },
      { figure: "debrief of a million events: event loop held, worst", value: delay.max / 1e6, unit: "ms" },
      { figure: "practice runs side by side, beside a million events", value: comparison.ms, unit: "ms" },
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function timed(work: () => Promise<void>): Promise<Took> {
  const startedMs = performance.now();
  const before = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(before);
  return { ms: performance.now() - startedMs, processorMs: (user + system) / 1000 };
}

/** Every fifth says something that a debrief reads: by turns of the filter and of a cue. */
function said(seq: number, now: number, rigs: number): SiteEvent {
  const event = reported(seq, now, rigs);
  if (seq % 5 !== 0 || event.type !== "rigReported") return event;
  const word = seq % 10 === 0 ? { cueDone: "filter-on" } : { filter: "on" as const };
  return { ...event, payload: { rigId: event.payload.rigId, flags: [], ...word } };
}
