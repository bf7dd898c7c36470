/**
 * Seconds until the instruction is due, as a figure and as a bar that drains; after that, how
 * long hands are meant to be on the rig.
 */
import { useRef } from "react";
import { untilSecond, useDrawn, writeText } from "../../parts/drawn-clock.ts";
import { offsetWords } from "../../parts/words-for-anchor.ts";
import { type Translate, useWords } from "../../words/words.ts";
import { longText } from "../long-text.ts";
import type { CueLine } from "./run-picture.ts";

interface CountInProps {
  line: CueLine;
  due: boolean;
  /** Run time, ms. */
  read: () => number;
}

/** The bar begins to drain this long before the cue, ms. */
const DRAIN_MS = 30_000;
/** In that time it drains by less than a pixel of a phone, and by a few while hands are on the rig, ms. */
const DRAIN_STEP_MS = 50;

export function CountInText({ line, due, read }: CountInProps) {
  const { t } = useWords();
  const text = useRef<HTMLSpanElement>(null);
  useDrawn(() => {
    const left = line.dueMs - read();
    writeText(text.current, due || left <= 0 ? dueText(left, line.state === "late", t) : aheadText(left, t));
    return untilSecond(left);
  });
  const { anchor, offsetS } = line.cue;
  const at = line.n === 1 ? offsetWords(anchor, offsetS) : null;
  return (
    <>
      <strong className="figures" ref={text} />
      {at ? (
        <>
          <span aria-hidden="true">·</span>
          <span>{at}</span>
        </>
      ) : null}
    </>
  );
}

/** "in 26 s", "in 4:07", "in 249 days". */
export function aheadText(left: number, t: Translate): string {
  return left > 99_500
    ? t("rig.in.long", { time: longText(left, t) })
    : t("rig.in.seconds", { s: Math.ceil(left / 1000) });
}

function dueText(left: number, late: boolean, t: Translate): string {
  const pastS = Math.max(0, Math.floor(-left / 1000));
  return late ? t("rig.in.late", { s: pastS }) : t("rig.in.now");
}

export function CountInBar({ line, due, read }: CountInProps) {
  const fill = useRef<HTMLSpanElement>(null);
  useDrawn(() => {
    const left = line.dueMs - read();
    const busyMs = Math.max(line.cue.handsS * 1000, line.toMs - line.dueMs);
    const share = left > 0 && !due ? left / DRAIN_MS : busyMs > 0 ? 1 + left / busyMs : 0;
    if (fill.current?.parentElement) fill.current.parentElement.hidden = !due && left > 60_000;
    fill.current?.style.setProperty("--left", Math.min(1, Math.max(0, share)).toFixed(4));
    if (share > 1) return left - DRAIN_MS;
    return share > 0 ? DRAIN_STEP_MS : Number.POSITIVE_INFINITY;
  });
  return (
    <span className="rig-bar" aria-hidden="true" data-due={due}>
      <span className="rig-bar-fill" ref={fill} />
    </span>
  );
}
