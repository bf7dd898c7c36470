/** What of a file's header is kept of it: the frame as everything after works with it. */
import type { Frame } from "../../fields/image-frame.ts";
import type { FileHeaders } from "./file-headers.ts";

/** As a frame's schema has it (shared/fields/image-frame.ts). */
const LATEST_MS = 4_133_980_800_000;

export function frameOf(file: string, headers: FileHeaders): Frame {
  const { kind, stamp, exposureS, fNumber, iso, model, durationS } = headers;
  const within = (value: number | null, most: number): number | null =>
    value !== null && value >= 0 && value <= most ? value : null;
  return {
    file: file.slice(-300),
    kind,
    // A clock that stands before 1970 or beyond 2100 was never set: it tells no time, and no log takes it.
    stamp:
      stamp && within(stamp.localMs, LATEST_MS) !== null
        ? { ...stamp, text: stamp.text.slice(0, 60), field: stamp.field.slice(0, 40) }
        : null,
    exposureS: within(exposureS, 86_400),
    fNumber: within(fNumber, 10_000),
    iso: within(iso, 10_000_000),
    model: model?.slice(0, 100) ?? null,
    durationS: within(durationS, 864_000),
  };
}
