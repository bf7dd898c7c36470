/**
 * The marshals' desk: their link, what they report of the crowd, what leads tell them. Kept with the
 * site's settings, written before it is acknowledged; bounded, the oldest settled goes first.
 *
 * One link serves all of them: it is an HMAC of the site's secret and a generation, and a new generation
 * ends every one made before (keys.ts).
 */
import * as v from "valibot";
import {
  MARSHAL_MATTERS,
  type MarshalReport,
  type MarshalReportSchema,
  type MarshalsDesk,
  type MarshalsNow,
  type MarshalWords,
} from "../../shared/protocol/marshals.ts";
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import type { EventLog } from "../log/event-log.ts";

const SETTING = "marshals";
const MOST_REPORTS = 200;
const MOST_WORDS = 20;
/** Reports within a minute, of all marshals together: more is a link in wrong hands. */
const MOST_A_MINUTE = 60;
const MINUTE_MS = 60_000;
/** What a phone says of when it was tapped counts so far back, ms. */
const DAY_MS = 86_400_000;
/** A page asks every three seconds: one that has not for so long is closed. */
const OPEN_MS = 15_000;
const MOST_PAGES = 500;

const KeptSchema = v.object({
  generation: v.pipe(v.number(), v.safeInteger(), v.minValue(0)),
  reports: v.array(
    v.object({
      id: v.string(),
      matter: v.picklist(MARSHAL_MATTERS),
      place: v.string(),
      atUtcMs: v.number(),
      practice: v.optional(v.boolean()),
      answer: v.nullable(v.picklist(["on it", "done"])),
    }),
  ),
  words: v.array(v.object({ id: v.string(), text: v.string(), atUtcMs: v.number() })),
});
type Kept = v.InferOutput<typeof KeptSchema>;

export class MarshalDesk {
  private kept: Kept;
  /** When the last ones came. */
  private arrivals: number[] = [];
  /** When each page that is looked at has last been shown what there is. Not kept: they ask again. */
  private readonly shownAt = new Map<string, number>();

  constructor(
    private readonly log: Pick<EventLog, "getSetting" | "setSetting">,
    private readonly now: () => number,
  ) {
    const read = v.safeParse(KeptSchema, log.getSetting(SETTING));
    this.kept = read.success ? read.output : { generation: 0, reports: [], words: [] };
  }

  get generation(): number {
    return this.kept.generation;
  }

  /** Newest first. */
  told(): MarshalsNow {
    return { reports: this.kept.reports, words: this.kept.words };
  }

  /** The same for a lead, with how many marshals' pages have shown each word. */
  desk(): MarshalsDesk {
    const now = this.now();
    const shown = [...this.shownAt.values()];
    const words = this.kept.words.map((word) => {
      const seen = shown.filter((at) => at >= word.atUtcMs).length;
      const waiting = shown.filter((at) => at < word.atUtcMs && now - at < OPEN_MS).length;
      return { ...word, seen, of: seen + waiting };
    });
    return { reports: this.kept.reports, words };
  }

  /** A page has been shown everything. */
  shown(page: string): void {
    this.shownAt.delete(page);
    this.shownAt.set(page, this.now());
    const [oldest] = this.shownAt.keys();
    if (this.shownAt.size > MOST_PAGES && oldest !== undefined) this.shownAt.delete(oldest);
  }

  /** Ends every link made before. Throws LogError where it cannot be written, as all that follow. */
  renewLink(): void {
    this.keep({ ...this.kept, generation: this.kept.generation + 1 });
  }

  /** `atUtcMs`: when it was tapped. `practice`: one is on. */
  report(
    { id, matter, place, atUtcMs }: v.InferOutput<typeof MarshalReportSchema>,
    practice = false,
  ): MarshalReport | Refusal {
    const known = this.kept.reports.find((one) => one.id === id);
    if (known) {
      const same = known.matter === matter && known.place === place;
      return same ? known : refusal("reused-id", "this id was used for another report", { field: "id" });
    }
    const now = this.now();
    const lately = this.arrivals.filter((at) => now - at < MINUTE_MS);
    if (lately.length >= MOST_A_MINUTE)
      return refusal("too-many", "too many reports within a minute", { data: { retryAfterMs: 10_000 } });
    const tapped = Math.min(now, Math.max(atUtcMs ?? now, now - DAY_MS));
    const made: MarshalReport = {
      ...{ id, matter, place, atUtcMs: tapped, answer: null },
      ...(practice && { practice }),
    };
    this.arrivals = [...lately, now];
    this.keep({ ...this.kept, reports: bounded([made, ...this.kept.reports]) });
    return made;
  }

  /** Undefined where there is no such report. */
  answer(id: string, answer: "on it" | "done"): MarshalReport | undefined {
    const known = this.kept.reports.find((one) => one.id === id);
    if (!known) return undefined;
    const answered = { ...known, answer };
    this.keep({ ...this.kept, reports: this.kept.reports.map((one) => (one === known ? answered : one)) });
    return answered;
  }

  tell({ id, text }: Pick<MarshalWords, "id" | "text">): void {
    if (this.kept.words.some((one) => one.id === id)) return;
    const words = [{ id, text, atUtcMs: this.now() }, ...this.kept.words].slice(0, MOST_WORDS);
    this.keep({ ...this.kept, words });
  }

  private keep(next: Kept): void {
    this.log.setSetting(SETTING, next);
    this.kept = next;
  }
}

/** Of too many the oldest that are done go, then the oldest. */
function bounded(reports: MarshalReport[]): MarshalReport[] {
  if (reports.length <= MOST_REPORTS) return reports;
  const gone = reports.findLast(({ answer }) => answer === "done") ?? reports.at(-1);
  return reports.filter((one) => one !== gone);
}
