/**
 * ISO base media boxes (ISO/IEC 14496-12 §4.2), which QuickTime calls atoms: a length, four letters,
 * what is inside. HEIC, CR3, MOV and MP4 are made of them.
 */
import { HeaderError, type Pieces } from "./pieces.ts";

export interface Box {
  type: string;
  /** Where its content begins and ends in the file. */
  at: number;
  end: number;
}

/** More in one row are damage: a movie has some ten, a track some hundred in no box of ours. */
const MOST_BOXES = 4000;

/** The boxes of a row. The last may say that it reaches to the end. */
export function* boxesIn(pieces: Pieces, from: number, end: number): Generator<Box> {
  let at = from;
  for (let n = 0; at + 8 <= end; n++) {
    if (n >= MOST_BOXES) throw new HeaderError("it has too many parts");
    let length = pieces.u32(at);
    let header = 8;
    // A row in old movies may end with a zero where another box would begin.
    if (length === 0 && end !== pieces.size) return;
    if (length === 1) {
      length = pieces.u64(at + 8);
      header = 16;
    } else if (length === 0) length = end - at;
    if (length < header) throw new HeaderError("a part of it has no length");
    const type = letters(pieces, at + 4);
    if (type === "uuid") header += 16;
    yield { type, at: at + header, end: Math.min(at + length, end) };
    at += length;
  }
}

export function boxIn(pieces: Pieces, from: number, end: number, type: string): Box | null {
  for (const box of boxesIn(pieces, from, end)) if (box.type === type) return box;
  return null;
}

/** The box at the end of a way of boxes inside each other. */
export function boxAt(pieces: Pieces, from: Box, ...way: string[]): Box | null {
  let box: Box | null = from;
  for (const type of way) box = box && boxIn(pieces, box.at, box.end, type);
  return box;
}

/** Four letters, "©" among them as one byte. */
export function letters(pieces: Pieces, at: number): string {
  return String.fromCharCode(...pieces.bytes(at, 4));
}
