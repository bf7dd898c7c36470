/**
 * What becomes of a default list where the Sun rises or sets during the eclipse: no cue that needs
 * the Sun is due while it is down (sea horizon, refraction included; hills are not considered).
 *
 * After a sunrise, as an observer would do it: rigs are set up, and what can be is focused on
 * something far, in the dark; card and battery too. As soon as the Sun stands clear it is centred
 * and focused. A series begins with the Sun (one that wants hands on its next beat); a single cue waits for it as long as its own window
 * lasts, and is dropped where that is over. Recordings and frames begin with it, however late.
 *
 * Before a sunset: series end a minute before it, other cues after it are dropped, and the rig is
 * capped and stopped at sunset, but not before its filter has had time to go on again. What makes
 * things safe stays where it is; what comes after the day is over comes as soon as it is.
 *
 * No sunset is an anchor: such cues hang on the nearest contact by whole seconds, on the safe side.
 */

import { type AnchorTimes, anchoredMs, cueDueMs, cueOccurrencesMs } from "../cue-times.ts";
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Anchor } from "../model/vocabulary.ts";
import type { CueRow } from "./cue-row.ts";

/** From the first sliver until the Sun is clear of the horizon and can be centred, seconds. */
const CLEAR_S = 120;
/** What is done in the dark is over so long before sunrise, seconds. */
const DARK_END_S = 30;
/** A series ends so long before sunset, seconds. */
const SERIES_END_S = 60;
/** No rig is closed before this after C3, seconds: the filter goes on first. */
const CLOSE_AFTER_C3_S = 45;
/** After it is closed comes what else is to be done, seconds. */
const AFTERWARDS_S = 120;

export function underTheSun(
  rows: readonly CueRow[],
  gets: Pick<LocalEclipse, "contacts" | "sunUp">,
): CueRow[] {
  const riseMs = gets.sunUp?.fromUtcMs ?? null;
  const setMs = gets.sunUp?.untilUtcMs ?? null;
  const times = gets.contacts;
  const risen = rows.flatMap((row) => (riseMs === null ? [row] : fromSunrise(row, riseMs, times)));
  const placed = risen.flatMap((row) => (setMs === null ? [row] : untilSunset(row, setMs, times)));
  const closing = placed.filter((row) => row.sun.set === "close" && !rows.includes(row)).at(-1);
  const kept = placed.filter((row) => row === closing || row.sun.set !== "close" || rows.includes(row));
  const once = rows
    .filter((row) => riseMs !== null && kept.some(({ cue }) => isDark(cue, row)))
    .flatMap((row) => (row.sun.dark?.risen ? onceClear(row.sun.dark.risen, riseMs ?? 0, kept, times) : []))
    .flatMap((row) => (setMs === null ? [row] : untilSunset(row, setMs, times)));
  return inOrder(rows, [...kept, ...once], times);
}

const isDark = (cue: CueRow["cue"], row: CueRow) =>
  cue.id === row.cue.id && row.sun.dark !== null && cue.key === row.sun.dark.key;

function fromSunrise(row: CueRow, riseMs: number, times: AnchorTimes): CueRow[] {
  const dueMs = cueDueMs(row.cue, times);
  if (dueMs === null) return [row];
  const { leadS, waitS, dark } = row.sun;
  const fromMs = riseMs - leadS * 1000;
  if (dueMs >= fromMs) return [row];
  const lateS = (fromMs - dueMs) / 1000;
  if (lateS <= waitS) {
    const moved =
      row.cue.repeat === null || row.busyS === 0 ? movedTo(row, fromMs, "after", times) : onBeat(row, lateS);
    const { latestS } = row.cue;
    const left = Number.isFinite(waitS) ? Math.max(0, Math.floor(latestS - lateS)) : latestS;
    return isOver(moved, times) ? [] : [withCue(moved, { earliestS: 0, latestS: left })];
  }
  if (dark === null) return [];
  const { key, action } = dark;
  // Over before the Sun is there.
  const lastMs = riseMs - (row.busyS + DARK_END_S) * 1000;
  const atMs = Math.min(Math.max(dueMs, riseMs - dark.leadS * 1000), lastMs);
  const latestS = Math.min(row.cue.latestS, Math.floor((riseMs - atMs) / 1000));
  return [withCue(movedTo(row, atMs, "before", times), { key, action, latestS })];
}

/** A series that wants hands keeps its beat, which other cues are laid out for. */
function onBeat(row: CueRow, lateS: number): CueRow {
  const everyS = row.cue.repeat?.everyS ?? 1;
  return withCue(row, { offsetS: row.cue.offsetS + Math.ceil(lateS / everyS) * everyS });
}

/** How much later than at once it may be done, where hands are busy then, seconds. */
const CLEAR_WITHIN_S = 180;
/** And how long before C2 it has to be over, seconds. */
const CLEAR_BEFORE_C2_S = 30;

/** What is done with the Sun just risen: at once, or between what else wants hands then. */
function onceClear(row: CueRow, riseMs: number, rows: readonly CueRow[], times: AnchorTimes): CueRow[] {
  const busyMs = row.busyS * 1000;
  const lastMs =
    times.c2 !== null && riseMs <= times.c2
      ? times.c2 - CLEAR_BEFORE_C2_S * 1000 - busyMs
      : Number.POSITIVE_INFINITY;
  for (let waitS = 0; waitS <= CLEAR_WITHIN_S; waitS += 10) {
    const moved = movedTo(row, riseMs + (CLEAR_S + waitS) * 1000, "after", times);
    const atMs = cueDueMs(moved.cue, times) ?? 0;
    if (atMs > lastMs) break;
    const meets = (other: CueRow) =>
      cueOccurrencesMs(other.cue, times).some((ms) => ms < atMs + busyMs && atMs <= ms + other.busyS * 1000);
    if (!rows.some(meets)) return [moved];
  }
  return [];
}

function untilSunset(row: CueRow, setMs: number, times: AnchorTimes): CueRow[] {
  const dueMs = cueDueMs(row.cue, times);
  if (dueMs === null || row.sun.set === "keep") return [row];
  if (row.sun.set === "close" || row.sun.set === "afterwards") {
    if (dueMs <= setMs) return [row];
    const closedMs = Math.max(setMs, anchoredMs(times, "C3", CLOSE_AFTER_C3_S) ?? setMs);
    const atMs = row.sun.set === "close" ? closedMs : closedMs + AFTERWARDS_S * 1000;
    return [atMs < dueMs ? movedTo(row, atMs, "before", times) : row];
  }
  if (dueMs >= setMs) return [];
  const latestS = Math.min(row.cue.latestS, Math.floor((setMs - dueMs) / 1000));
  const { repeat } = row.cue;
  if (repeat === null) return latestS === row.cue.latestS ? [row] : [withCue(row, { latestS })];
  const endMs = setMs - SERIES_END_S * 1000;
  const untilMs = anchoredMs(times, repeat.until.anchor, repeat.until.offsetS) ?? endMs;
  if (untilMs <= endMs) return [row];
  const { everyS } = repeat;
  const again = dueMs + everyS * 1000 <= endMs;
  return [
    withCue(row, { latestS, repeat: again ? { everyS, until: anchorNear(endMs, "before", times) } : null }),
  ];
}

/** A series whose end has come before its beginning. */
function isOver({ cue }: CueRow, times: AnchorTimes): boolean {
  if (cue.repeat === null) return false;
  const dueMs = cueDueMs(cue, times);
  const untilMs = anchoredMs(times, cue.repeat.until.anchor, cue.repeat.until.offsetS);
  return dueMs !== null && untilMs !== null && dueMs > untilMs;
}

function movedTo(row: CueRow, ms: number, side: "before" | "after", times: AnchorTimes): CueRow {
  if (ms === cueDueMs(row.cue, times)) return row;
  // A filter comes off by C2 and nothing else (S3, S4).
  const own = row.cue.action === "filter-off" ? row.cue.anchor : null;
  return withCue(row, own === null ? anchorNear(ms, side, times) : hung(ms, "C2", side, times));
}

const withCue = (row: CueRow, change: Partial<CueRow["cue"]>): CueRow => ({
  ...row,
  cue: { ...row.cue, ...change },
});

/** The contact that an instant is told from: C2 up to it, C3 after it, and maximum without them. */
function anchorNear(ms: number, side: "before" | "after", times: AnchorTimes) {
  const { c2, c3 } = times;
  return hung(ms, c2 === null || c3 === null ? "max" : ms < c3 ? "C2" : "C3", side, times);
}

function hung<Name extends Anchor>(ms: number, anchor: Name, side: "before" | "after", times: AnchorTimes) {
  const s = (ms - (anchoredMs(times, anchor, 0) ?? ms)) / 1000;
  return { anchor, offsetS: side === "after" ? Math.ceil(s) : Math.floor(s) };
}

/** The rows in the order of the list, but those that were moved where their new time puts them. */
function inOrder(listed: readonly CueRow[], placed: readonly CueRow[], times: AnchorTimes): CueRow[] {
  const dueMs = ({ cue }: CueRow) => cueDueMs(cue, times) ?? Number.POSITIVE_INFINITY;
  const was = new Map(listed.map((row) => [row.cue.id, dueMs(row)]));
  const isMoved = (row: CueRow) => was.get(row.cue.id) !== dueMs(row);
  const result = placed.filter((row) => !isMoved(row));
  for (const row of placed.filter(isMoved)) {
    const next = result.findIndex((other) => dueMs(other) > dueMs(row));
    result.splice(next === -1 ? result.length : next, 0, row);
  }
  return result;
}
