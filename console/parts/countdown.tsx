/** Time to go until an instant, with what comes then above it. Drawn at every frame, like the clock. */
import { useRef } from "react";
import "./countdown.css";
import { useEachFrame, writeText } from "./each-frame.ts";
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
  useEachFrame(() => writeText(figures.current, countdownFace(to, read(), after)));
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
