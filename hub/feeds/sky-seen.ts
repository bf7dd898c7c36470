/**
 * What the sky was like in totality: what most rigs said of it last before the Sun came back. Phones go
 * on saying what it is like then, and of each rig only its newest word is in the state: the book keeps
 * the last word before C3, over a restart, too.
 */
import * as v from "valibot";
import { ownValue } from "../../shared/fields/own-key.ts";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import { recordOf } from "../../shared/run/facts/rig-record.ts";
import type { RunRecord, SiteState } from "../../shared/run/state.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { Settings } from "./settings.ts";

const SETTING = "skySeen";
/** The worst first. */
const SKIES = ["overcast", "broken", "thin", "clear"] as const;
/** A word on the sky older than this says nothing of it, ms. Common practice, no source. */
const FRESH_MS = 30 * 60_000;

const KeptSchema = v.object({
  runId: v.string(),
  rigs: v.record(v.string(), v.object({ value: v.picklist(SKIES), observedUtcMs: v.number() })),
});
type Kept = v.InferOutput<typeof KeptSchema>;

export class SkyBook {
  private kept: Kept;

  constructor(private readonly settings: Settings) {
    const read = v.safeParse(KeptSchema, settings.getSetting(SETTING));
    this.kept = read.success ? read.output : { runId: "", rigs: {} };
  }

  /**
   * `endUtcMs`: when the Sun comes back, real UTC; null where it is never gone. Null where nobody said
   * anything within half an hour before now, or before the end. Where as many say one thing as another,
   * the worse one.
   */
  seen(state: SiteState, run: RunRecord, now: UtcMs, endUtcMs: UtcMs | null): BoardSnapshot["skySeen"] {
    const until = Math.min(now, endUtcMs ?? now);
    const before = this.kept.runId === run.runId ? this.kept.rigs : {};
    const words = state.plan.rigs.flatMap(({ id }) => {
      const newest = recordOf(state, run, id).sky;
      const word = newest && newest.observedUtcMs <= until ? newest : ownValue(before, id);
      return word && word.observedUtcMs <= until ? [[id, word] as const] : [];
    });
    this.keep(run.runId, words);
    const said = words.flatMap(([, { value, observedUtcMs }]) =>
      until - observedUtcMs < FRESH_MS ? [value] : [],
    );
    const count = (sky: string): number => said.filter((one) => one === sky).length;
    const most = Math.max(0, ...SKIES.map(count));
    return most === 0 ? null : (SKIES.find((sky) => count(sky) === most) ?? null);
  }

  private keep(runId: string, words: readonly (readonly [string, Kept["rigs"][string]])[]): void {
    const rigs = Object.fromEntries(
      words.map(([id, { value, observedUtcMs }]) => [id, { value, observedUtcMs }]),
    );
    const next = { runId, rigs };
    if (JSON.stringify(next) === JSON.stringify(this.kept)) return;
    this.kept = next;
    if (words.length === 0) return;
    try {
      this.settings.setSetting(SETTING, next);
    } catch {
      // A full disk: boards are told on, and a restart would know the words of now only.
    }
  }
}
