/**
 * Reads LDEM_4.IMG: 720 lines from 90° north, 1440 samples from longitude 0° east, 16-bit little
 * endian, half metres above 1737.4 km. Source: the PDS label of LDEM_4 (LRO-L-LOLA-4-GDR-V1.0).
 */
import { BELT_LINES, BELT_SAMPLES } from "../../shared/eclipse/limb-belt.ts";

const BYTES = BELT_LINES * BELT_SAMPLES * 2;

/** Height in km of a pixel, by line and sample. Throws RangeError when it is not the file. */
export function ldem4(bytes: Uint8Array): (line: number, sample: number) => number {
  if (bytes.length !== BYTES) throw new RangeError(`LDEM_4.IMG must be ${BYTES} bytes: ${bytes.length}`);
  const data = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return (line, sample) => data.getInt16(2 * (line * BELT_SAMPLES + sample), true) * 0.0005;
}
