/**
 * The drawn line of time above a rig's cues. The open cue has a handle on it: dragged, or moved with
 * the arrow keys (1 s; 10 s with Page up and Page down). A tap elsewhere opens the nearest cue. The
 * line runs from left to right in every language.
 */
import { type KeyboardEvent, type PointerEvent, useRef } from "react";
import { cueDueMs } from "../../../../shared/plan/cue-times.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { CUE_OFFSET_MOST_S } from "../../../../shared/plan/model/vocabulary.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import { TimeLine } from "../../../parts/time-line.tsx";
import { timeLineLayout } from "../../../parts/time-line-layout.ts";
import { offsetWords } from "../../../parts/words-for-anchor.ts";
import { cueWords } from "../../../parts/words-for-cue.ts";
import { t } from "../../../words/words.ts";
import { offsetAt } from "./line-times.ts";

export interface CueLineProps {
  contacts: EffectiveContacts;
  cues: readonly Cue[];
  /** The cue with the handle; null for a line that is only looked at and tapped. */
  open: Cue | null;
  move?: (offsetS: number) => void;
  choose: (cueId: string) => void;
}

/** A finger is no finer than this, as a share of the line. */
const NEAR = 0.05;
const KEYS_S: Readonly<Record<string, number>> = {
  ArrowLeft: -1,
  ArrowDown: -1,
  ArrowRight: 1,
  ArrowUp: 1,
  PageDown: -10,
  PageUp: 10,
};

export function CueLine({ contacts, cues, open, move, choose }: CueLineProps) {
  const track = useRef<HTMLDivElement>(null);
  const dragged = useRef(false);
  const layout = timeLineLayout(contacts);
  if (!layout) return null;
  const placed = cues.flatMap((cue) => {
    const dueMs = cueDueMs(cue, contacts);
    if (dueMs === null || !cue.on) return [];
    const { id, handsS, earliestS, latestS } = cue;
    return [{ id, dueMs, fromMs: dueMs + earliestS * 1000, toMs: dueMs + latestS * 1000, handsS }];
  });
  const openMs = open && cueDueMs(open, contacts);
  const share = (event: { clientX: number }) => {
    const box = track.current?.getBoundingClientRect();
    return box && box.width > 0 ? (event.clientX - box.left) / box.width : 0;
  };
  const put = (offsetS: number) => move?.(Math.min(CUE_OFFSET_MOST_S, Math.max(-CUE_OFFSET_MOST_S, offsetS)));
  const drag = (event: PointerEvent) => {
    if (!dragged.current || !open || openMs === null) return;
    put(offsetAt(layout, share(event), openMs - open.offsetS * 1000));
  };
  const key = (event: KeyboardEvent) => {
    const byS = KEYS_S[event.key];
    if (byS === undefined || !open) return;
    event.preventDefault();
    put(open.offsetS + byS);
  };
  return (
    <div ref={track} className="cue-line" dir="ltr">
      <TimeLine contacts={contacts} runNow={null} cues={placed} />
      {/* For fingers and mice: with keys and by ear the cues are opened at their sentences below. */}
      <button
        type="button"
        className="cue-line__tap"
        tabIndex={-1}
        aria-hidden="true"
        onClick={(event) => {
          const x = share(event);
          const near = placed
            .map(({ id, dueMs }) => ({ id, off: Math.abs(layout.at(dueMs) - x) }))
            .sort((a, b) => a.off - b.off)[0];
          if (near && near.off < NEAR) choose(near.id);
        }}
      />
      {open && openMs !== null && (
        <div
          className="cue-line__handle"
          role="slider"
          tabIndex={0}
          data-action="drag-cue"
          aria-label={t("cues.line.handle", { words: cueWords(open) })}
          aria-valuemin={-CUE_OFFSET_MOST_S}
          aria-valuemax={CUE_OFFSET_MOST_S}
          aria-valuenow={open.offsetS}
          aria-valuetext={offsetWords(open.anchor, open.offsetS)}
          style={{ insetInlineStart: `${100 * layout.at(openMs)}%` }}
          onKeyDown={key}
          onPointerDown={(event) => {
            dragged.current = true;
            event.currentTarget.setPointerCapture(event.pointerId);
          }}
          onPointerMove={drag}
          onPointerUp={() => {
            dragged.current = false;
          }}
          onPointerCancel={() => {
            dragged.current = false;
          }}
        />
      )}
      {open && openMs !== null && (
        <span
          className="cue-line__says figures"
          aria-hidden="true"
          style={
            layout.at(openMs) > 0.5
              ? { right: `${100 * (1 - layout.at(openMs))}%` }
              : { left: `${100 * layout.at(openMs)}%` }
          }
        >
          {offsetWords(open.anchor, open.offsetS)}
        </span>
      )}
      {open && openMs !== null && <p className="soft cue-line__hint">{t("cues.line.hint")}</p>}
    </div>
  );
}
