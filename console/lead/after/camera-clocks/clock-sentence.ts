/** A camera's clock in one sentence: how far off, within what, which way it runs. */
import { type CameraClock, offsetAt } from "../../../../shared/images/camera-clock/solve.ts";
import { t } from "../../../words/words.ts";

/** Below this, s an hour, nobody would call it gaining. */
const LEVEL_S_PER_H = 0.05;

export interface ClockFigures {
  way: "fast" | "slow";
  /** How far, s, two decimals. */
  offset: string;
  /** Within, s: rounded up, the rounding of `offset` in it. */
  bound: string;
  trend: "gaining" | "losing" | "level";
  gain: string;
}

/** @param zoneMin what of the offset is a time zone and no fault, min. */
export function clockFigures(clock: CameraClock, zoneMin: number, utcMs: number): ClockFigures {
  const { offsetMs, boundMs, gainMsPerH } = offsetAt(clock, utcMs);
  const offsetS = offsetMs / 1000 - zoneMin * 60;
  const { shown, bound } = roundedWithin(Math.abs(offsetS), boundMs / 1000);
  const gainSPerH = gainMsPerH / 1000;
  return {
    way: offsetS < 0 ? "slow" : "fast",
    offset: shown,
    bound,
    trend: Math.abs(gainSPerH) < LEVEL_S_PER_H ? "level" : gainSPerH > 0 ? "gaining" : "losing",
    gain: Math.abs(gainSPerH).toFixed(1),
  };
}

/** Two decimals; the bound is rounded up and covers what the other's rounding took. */
export function roundedWithin(valueS: number, boundS: number): { shown: string; bound: string } {
  const shown = Math.round(valueS * 100) / 100;
  const bound = Math.ceil((boundS + Math.abs(valueS - shown)) * 100 - 1e-6) / 100;
  return { shown: shown.toFixed(2), bound: bound.toFixed(2) };
}

/** @param at "C2", "C3", "maximum": where the figures hold. */
export function clockSentence(
  camera: string,
  at: string,
  clock: CameraClock,
  zoneMin: number,
  utcMs: number,
): string {
  return t("cameras.sentence", { camera, at, ...clockFigures(clock, zoneMin, utcMs) });
}

/** "+3:00", "−5:45", "0:00": camera's civil time − UTC. */
export function zoneOffsetText(zoneMin: number): string {
  const most = Math.abs(zoneMin);
  const sign = zoneMin === 0 ? "" : zoneMin < 0 ? "−" : "+";
  return `${sign}${Math.floor(most / 60)}:${String(most % 60).padStart(2, "0")}`;
}
