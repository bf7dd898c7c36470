/** A report as it was logged, and what it says as a write to a register. */
import type { SiteEvent } from "../events.ts";
import { addFilterWord, type FilterWords } from "./filter-state.ts";
import { isPlayed, playedDeviceId } from "./played.ts";
import type { Register } from "./registers.ts";

export type Reported = Extract<SiteEvent, { type: "rigReported" }>;

/**
 * A program that reports over HTTP has no device and no number of its own: its name and the log's
 * stand for them. What an instrument says is by "instrument:wheel", whoever carried it here.
 */
export function registerOf<Value>(event: Reported, value: Value): Register<Value> {
  return {
    value,
    observedUtcMs: event.observedUtcMs,
    deviceId: event.deviceId ?? event.actor,
    deviceSeq: event.deviceSeq ?? event.seq,
    by: event.payload.instrument ? `instrument:${event.payload.instrument}` : event.actor,
  };
}

/**
 * The words on a filter with those of one more report. Of what an instrument says only the more dangerous
 * word counts beside those of people, under a name of its own, and only people end it (S9, SPEC R19).
 * Who plays a rig in a practice has looked at nothing: a filter that is really open stays so. All who play
 * it, one after the other, are as one device, whose newest word counts.
 */
export function withFilterOf(words: FilterWords, event: Reported): FilterWords {
  const { filter, instrument, looked } = event.payload;
  if (filter === undefined) return words;
  const word = registerOf(event, filter);
  if (isPlayed(word.deviceId))
    return addFilterWord(words, { ...word, deviceId: playedDeviceId(""), deviceSeq: event.seq }, false);
  if (!instrument) return addFilterWord(words, word, looked ?? false);
  return filter === "off"
    ? addFilterWord(words, { ...word, deviceId: `${word.by}@${word.deviceId}` }, false)
    : words;
}
