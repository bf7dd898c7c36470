/**
 * The running clock: UTC large, the site's civil time small, each named. In a practice run it
 * shows run time and says so. It is drawn as each second begins; by React once.
 */
import { useRef } from "react";
import { useWords } from "../words/words.ts";
import "./clock-face.css";
import { untilSecond, useDrawn, writeText } from "./drawn-clock.ts";
import { clockText, localClockText, zoneText } from "./time-format.ts";

interface ClockFaceProps {
  /** The instant to show, ms on the scale of UTC; null while no clock has been set. */
  read: () => number | null;
  /** The site's IANA zone; civil time is left out without one. */
  zone?: string | null;
  /** The time shown is a practice run's. */
  practice?: boolean;
  /** Which of the two is large; the board shows the civil time large. */
  large?: "utc" | "local";
}

export function ClockFace({ read, zone = null, practice = false, large = "utc" }: ClockFaceProps) {
  const { t } = useWords();
  const utc = useRef<HTMLSpanElement>(null);
  const local = useRef<HTMLSpanElement>(null);
  const localName = useRef<HTMLSpanElement>(null);
  useDrawn(() => {
    const at = read();
    const nextMs = at === null ? Number.POSITIVE_INFINITY : untilSecond(-at);
    writeText(utc.current, at === null ? "––:––:––" : clockText(at));
    if (!zone) return nextMs;
    const civil = at === null ? null : localClockText(at, zone);
    writeText(local.current, civil ?? "––:––:––");
    writeText(
      localName.current,
      localLabel(t(practice ? "time.practiceLocal" : "time.local"), at === null ? null : zoneText(at, zone)),
    );
    return nextMs;
  });
  return (
    <div className="clock-face" role="timer" aria-live="off" data-large={zone ? large : "utc"}>
      <p className="clock-face-utc">
        <span className="clock-face-figures" ref={utc} />{" "}
        <span className="clock-face-name">{t(practice ? "time.practiceUtc" : "time.utc")}</span>
      </p>
      {zone ? (
        <p className="clock-face-local">
          <span className="clock-face-figures" ref={local} />{" "}
          <span className="clock-face-name" ref={localName} />
        </p>
      ) : null}
    </div>
  );
}

function localLabel(word: string, zone: string | null): string {
  return zone ? `${word} (${zone})` : word;
}
