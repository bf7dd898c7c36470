/**
 * The truth about the link and the clock, in one line on every page: linked or alone and since
 * when, how well this device knows the hub's clock, how well the hub knows UTC, what still waits.
 */
import type { LinkState } from "../../shared/link/session-types.ts";
import { useWords } from "../words/words.ts";
import { boundText, clockText } from "./time-format.ts";
import "./link-line.css";

interface TruthLineProps {
  linkState: LinkState;
  /** Since when it is so, UTC ms; null when the clock was never set. */
  sinceUtcMs: number | null;
  /** This device against the hub, ms; null when unknown. */
  boundMs: number | null;
  /** The hub against UTC, ms; null when unknown or of no interest here. */
  utcBoundMs: number | null;
  /** Reports that wait for the hub. */
  queued?: number;
  practice?: boolean;
}

export function LinkLine({
  linkState,
  sinceUtcMs,
  boundMs,
  utcBoundMs,
  queued = 0,
  practice = false,
}: TruthLineProps) {
  const { t } = useWords();
  const time = sinceUtcMs === null ? null : `${clockText(sinceUtcMs)} ${t("time.utc")}`;
  const parts: string[] = [];
  if (practice) parts.push(t("practice.short"));
  if (linkState === "linked") parts.push(t("link.linked"));
  else if (linkState === "catching up") parts.push(t("link.catchingUp"));
  else if (linkState === "never linked") parts.push(t("link.never"));
  else parts.push(time === null ? t("link.aloneUnknown") : t("link.alone", { time }));
  if (boundMs !== null && Number.isFinite(boundMs)) {
    const bound = boundText(boundMs);
    parts.push(t(linkState === "linked" ? "link.bound" : "link.boundAlone", { bound }));
  }
  if (utcBoundMs !== null && Number.isFinite(utcBoundMs))
    parts.push(t("link.utcBound", { bound: boundText(utcBoundMs) }));
  if (queued > 0) parts.push(t("link.queued", { count: queued }));
  return (
    <p className="link-line" data-link-state={linkState}>
      <svg className="link-line-shape" viewBox="0 0 16 16" aria-hidden="true" focusable="false">
        {linkState === "linked" ? (
          <circle cx="8" cy="8" r="5.5" fill="currentColor" />
        ) : (
          <circle
            cx="8"
            cy="8"
            r="5.5"
            fill="none"
            stroke="currentColor"
            strokeWidth="2.5"
            strokeDasharray={linkState === "catching up" ? "3 2" : undefined}
          />
        )}
      </svg>
      <span>{parts.join(" · ")}</span>
    </p>
  );
}
