/** The pictures beside what the equipment gives: exposures on a line of doubling times, an end against C4. */
import type { RigBudget } from "../../../../shared/plan/budgets/rig-budget.ts";
import { t } from "../../../words/words.ts";

/** Above the line each phenomenon, beneath it the frames of the bracket. Null where one of them is all there is. */
export function ExposureLine({ exposure, bracket }: Pick<RigBudget, "exposure" | "bracket">) {
  const frames = bracket?.frames ?? [];
  const all = [...exposure.map(({ seconds, stop }) => ({ seconds, name: stop })), ...frames].sort(
    (a, b) => a.seconds - b.seconds,
  );
  const [first, last] = [all[0], all.at(-1)];
  if (!first || !last || first.seconds >= last.seconds) return null;
  const at = (seconds: number): string =>
    `calc(${Math.log2(seconds / first.seconds) / Math.log2(last.seconds / first.seconds)} * (100% - 3px))`;
  return (
    <figure className="exposure-line" dir="ltr">
      <div className="exposure-line__track" aria-hidden="true">
        {exposure.map(({ phenomenon, seconds }) => (
          <i key={phenomenon} data-tick="phenomenon" style={{ left: at(seconds) }} />
        ))}
        {frames.map(({ name, seconds }) => (
          <i key={name} data-tick="frame" style={{ left: at(seconds) }} />
        ))}
      </div>
      <figcaption className="soft what-it-gives__source">
        <span className="figures">{`${first.name} s`}</span>
        <span dir="auto">{t(bracket ? "gives.lineBracket" : "gives.line")}</span>
        <span className="figures">{`${last.name} s`}</span>
      </figcaption>
    </figure>
  );
}

/** What is drawn of the day, before and after C4, ms. */
const BEFORE_MS = 4 * 3_600_000;
const AFTER_MS = 3_600_000;

/** How far card or battery reach, on a line that ends an hour after C4; `at` null: beyond it. */
export function EndLine({ at, c4UtcMs }: { at: number | null; c4UtcMs: number | null }) {
  if (c4UtcMs === null) return null;
  const from = c4UtcMs - BEFORE_MS;
  const share = (utcMs: number): number =>
    Math.min(100, Math.max(0, (100 * (utcMs - from)) / (BEFORE_MS + AFTER_MS)));
  return (
    <div className="end-line" dir="ltr" aria-hidden="true" data-early={at !== null && at < c4UtcMs}>
      <i className="end-line__reach" style={{ width: `${at === null ? 100 : share(at)}%` }} />
      <i className="end-line__c4" style={{ left: `${share(c4UtcMs)}%` }} />
      <span style={{ left: `${share(c4UtcMs)}%` }}>C4</span>
    </div>
  );
}
