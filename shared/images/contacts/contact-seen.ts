/**
 * When a contact was seen, and within what: between two frames of a camera whose clock is known, or by
 * a person's call. What is compared with a prediction is the middle of what is possible.
 */
import type { SeenContact } from "../../fields/seen-contact.ts";
import { type CameraClock, utcOfStamp } from "../camera-clock/solve.ts";

export interface SeenAt {
  utcMs: number;
  boundMs: number;
  /** What the bound is made of, ms; they add up. */
  parts: { cause: "frames" | "camera clock" | "stamp" | "reaction"; ms: number }[];
}

/**
 * A call of totality is made by a hold of one second (S6), and people need a tenth to six tenths of a
 * second to begin it; a program's call has no hold. So it was seen 0.1 to 1.6 s before; the Sun's return
 * is one tap, 0.05 to 0.7 s after. Reaction times: common practice, no source.
 */
const CALLED_AFTER_MS = { totality: [100, 1600], "sun returns": [50, 700] } as const;

export function seenByCall(call: keyof typeof CALLED_AFTER_MS, atUtcMs: number): SeenAt {
  const [least, most] = CALLED_AFTER_MS[call];
  const boundMs = (most - least) / 2;
  return { utcMs: atUtcMs - (least + most) / 2, boundMs, parts: [{ cause: "reaction", ms: boundMs }] };
}

/** Null where the frames are not in that order. */
export function seenByFrames(
  clock: CameraClock,
  { beforeMs, afterMs, stepMs }: Pick<SeenContact, "beforeMs" | "afterMs" | "stepMs">,
): SeenAt | null {
  if (afterMs < beforeMs) return null;
  const before = utcOfStamp(clock, beforeMs, stepMs);
  const after = utcOfStamp(clock, afterMs, stepMs);
  const least = before.utcMs - before.boundMs;
  const most = after.utcMs + after.boundMs;
  const apartMs = (after.utcMs - before.utcMs) / 2;
  return {
    utcMs: (least + most) / 2,
    boundMs: (most - least) / 2,
    parts: [
      { cause: "frames", ms: apartMs },
      { cause: "camera clock", ms: (before.boundMs + after.boundMs) / 2 - stepMs / 2 },
      { cause: "stamp", ms: stepMs / 2 },
    ],
  };
}
