/**
 * A camera's clock, said over a cable by whoever reads it beside the rig (hub/agent), becomes a word on that
 * camera's clock as photographs of the clock do: in the log, replayed, solved anew at every asking. A person's
 * word on a clock of the rig outranks it: from then on the cable says nothing more of it.
 */

import type { CableReading } from "../../shared/fields/camera-clock.ts";
import { ownValue } from "../../shared/fields/own-key.ts";
import { afterReading, type CableWord } from "../../shared/images/camera-clock/cable-clock.ts";
import type { SiteEvent } from "../../shared/run/events.ts";
import type { SiteState } from "../../shared/run/state.ts";
import type { SiteKeeper } from "./site-keeper.ts";

/** As the pages call a camera that nobody named. */
const CAMERA = "camera";
/**
 * A reading may be said again ten minutes after it was taken: what a crystal of 40 parts in a million does
 * in twice that, s (rate: shared/images/camera-clock/solve.ts).
 */
const OLD_S = 0.05;
/** One that is known no better says nothing of a frame's second. */
const BOUND_MOST_S = 3600;

/** Follows the keeper's events from now on. */
export function keepCableClocks(keeper: SiteKeeper, newId: () => string): void {
  /** By rig: a reading that contradicts what is known. */
  const odds = new Map<string, CableReading>();
  /** Rigs whose word is on its way into the log. */
  const noting = new Set<string>();

  function heard(event: Extract<SiteEvent, { type: "rigReported" }>, state: SiteState): void {
    const { rigId, flags } = event.payload;
    const reading = readingOf(event, state);
    if (!reading || noting.has(rigId)) return;
    if (flags.includes("link revoked") || flags.includes("rig removed")) return;
    const words = state.cameraClocks.filter((one) => one.rigId === rigId);
    if (words.some(({ basis }) => basis.how !== "cable")) return;
    const last = words.at(-1);
    const known: CableWord | null =
      last?.basis.how === "cable" ? { zoneMin: last.zoneMin, basis: last.basis } : null;
    const { word, odd } = afterReading(known, odds.get(rigId) ?? null, reading);
    if (odd) odds.set(rigId, odd);
    else odds.delete(rigId);
    if (!word) return;
    noting.add(rigId);
    const noted = { clockId: newId(), rigId, camera: CAMERA, ...word, by: event.actor };
    void keeper.note("cameraClockNoted", noted).finally(() => noting.delete(rigId));
  }

  keeper.on("events", (events, state) => {
    for (const event of events) if (event.type === "rigReported") heard(event, state);
  });
}

/** What is said is told only where it differs: what is missing stands as it was said last. */
function readingOf(
  { payload, runId, observedUtcMs }: Extract<SiteEvent, { type: "rigReported" }>,
  state: SiteState,
): CableReading | null {
  const said: object = payload;
  const saidNow = (field: string): unknown => (said as Readonly<Record<string, unknown>>)[field];
  if (saidNow("cameraClockS") === undefined && saidNow("cameraClockBoundS") === undefined) return null;
  const run = ownValue(state.runs, runId);
  const registers = run && ownValue(run.rigs, payload.rigId)?.instruments;
  const now = (field: string): unknown => saidNow(field) ?? (registers && ownValue(registers, field)?.value);
  const [offsetS, boundS] = [now("cameraClockS"), now("cameraClockBoundS")];
  if (typeof offsetS !== "number" || typeof boundS !== "number") return null;
  if (boundS > BOUND_MOST_S || Math.abs(offsetS) > 1_999_000_000) return null;
  return { utcMs: observedUtcMs, offsetS, boundS: boundS + OLD_S };
}
