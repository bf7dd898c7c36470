/** Time to go until an instant, with what comes then above it. Drawn as each of its seconds ends. */
import { useRef } from "react";
import "./countdown.css";
import { untilSecond, useDrawn, writeText } from "./drawn-clock.ts";
import { countdownText, elapsedText } from "./time-format.ts";

interface CountdownProps {
  /** The instant, ms on the same scale as `read`; null shows a dash. */
  to: number | null;
  read: () => number | null;
  label: string;
  /** After the instant: stay at 0:00, or count up with a plus. */
  after?: "hold" | "up";
}

export function Countdown({ to, read, label, after = "hold" }: CountdownProps) {
  const figures = useRef<HTMLSpanElement>(null);
  useDrawn(() => {
    const now = read();
    writeText(figures.current, countdownFace(to, now, after));
    return to === null || now === null ? Number.POSITIVE_INFINITY : untilSecond(to - now);
  });
  return (
    <p className="countdown" role="timer" aria-live="off">
      <span className="countdown-label">{label}</span>{" "}
      <span className="countdown-figures" data-figures={true} ref={figures} />
    </p>
  );
}

/** What the figures say: "4:07", "+0:12" once past when counting up, "–:––" when nothing is known. */
export function countdownFace(to: number | null, now: number | null, after: "hold" | "up"): string {
  if (to === null || now === null) return "–:––";
  if (now <= to || after === "hold") return countdownText(to - now);
  return `+${elapsedText(now - to)}`;
}
