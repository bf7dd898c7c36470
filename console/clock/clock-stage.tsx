/**
 * What a camera photographs: large digits, and two codes that change in turn. A code stands for its
 * hold and is gone 60 ms later whatever becomes of the page, so that what the photograph says of its
 * moment (shared/images/camera-clock/photographs.ts: hold and 80 ms) is true.
 */
import { useRef } from "react";
import { codeDigits, type Pace, STEP_MS, shownSince } from "../../shared/images/camera-clock/clock-code.ts";
import { isoDate } from "../../shared/time/iso.ts";
import type { PageBoard } from "../link/page-board.ts";
import { useDrawn, writeText } from "../parts/drawn-clock.ts";
import { boundText, clockText } from "../parts/time-format.ts";
import { useWords } from "../words/words.ts";
import { drawCode, PANEL_MODULES, showOnlyFor } from "./code-panel.ts";

const GONE_AFTER_MS = 60;
const DIGIT_STEP_MS = 100;

export function ClockStage({ session, pace }: { session: PageBoard; pace: Pace }) {
  const { t } = useWords();
  const figures = useRef<HTMLParagraphElement>(null);
  const date = useRef<HTMLParagraphElement>(null);
  const bound = useRef<HTMLParagraphElement>(null);
  const panels = [useRef<HTMLCanvasElement>(null), useRef<HTMLCanvasElement>(null)] as const;
  const drawn = useRef<[string, string]>(["", ""]);
  useDrawn(() => {
    const { utcMs, state, boundMs, utcBoundMs } = session.reading();
    // What contradicts the hub's clock and is not settled counts as its bound.
    const within = Math.max(utcBoundMs, boundMs + session.apartMs());
    const known = state !== "none" && codeDigits(utcMs, 0, pace, within) !== null;
    const tenthMs = Math.floor(utcMs / DIGIT_STEP_MS) * DIGIT_STEP_MS;
    const text = known ? `${clockText(utcMs)}.${Math.floor(tenthMs / 100) % 10}` : "––:––:––.–";
    if (figures.current && figures.current.textContent !== text) {
      writeText(figures.current, text);
      showOnlyFor(figures.current, known ? tenthMs + DIGIT_STEP_MS + GONE_AFTER_MS - utcMs : 3_600_000);
    }
    writeText(date.current, known ? `${isoDate(utcMs)} ${t("time.utc")}` : t("clock.notSet"));
    writeText(bound.current, known ? t("clock.within", { bound: boundText(within) }) : "");
    for (const panel of [0, 1] as const) {
      const canvas = panels[panel].current;
      if (!canvas) continue;
      const since = shownSince(utcMs, panel, pace);
      const digits = known ? (codeDigits(since, panel, pace, within) ?? "") : "";
      if (drawn.current[panel] === digits) continue;
      drawn.current[panel] = digits;
      canvas.dataset.code = digits;
      if (digits === "") {
        canvas.getContext("2d")?.clearRect(0, 0, PANEL_MODULES, PANEL_MODULES);
        continue;
      }
      drawCode(canvas, digits);
      showOnlyFor(canvas, since + 2 * STEP_MS[pace] + GONE_AFTER_MS - utcMs);
    }
    return 0;
  });
  return (
    <section className="clock-stage" data-pace={pace}>
      <p className="clock-stage__date" ref={date} />
      <p className="clock-stage__time" role="timer" aria-live="off" ref={figures} />
      <p className="clock-stage__codes" aria-hidden="true">
        {panels.map((panel, index) => (
          <canvas
            key={index === 0 ? "first" : "second"}
            ref={panel}
            width={PANEL_MODULES}
            height={PANEL_MODULES}
            data-panel={index}
          />
        ))}
      </p>
      <p className="clock-stage__bound" data-bound ref={bound} />
    </section>
  );
}
