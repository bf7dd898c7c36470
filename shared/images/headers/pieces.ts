/**
 * Bytes of a file of which only some are at hand. Readers of formats are plain synchronous code over
 * `Pieces`; where they need what is not there, `MissingBytes` is thrown, whoever drives them
 * (read-headers.ts) fetches it and starts them anew. Nearly every file needs its first 64 kB only.
 *
 * Every look is checked: a damaged file ends in `HeaderError`, never in a wrong place of memory.
 */

/** What is wrong with a file, as a sentence's middle: "the file ends within a box". */
export class HeaderError extends Error {
  override name = "HeaderError";
}

/** Not a fault: these bytes are needed to go on. */
export class MissingBytes extends Error {
  override name = "MissingBytes";
  constructor(
    readonly offset: number,
    readonly length: number,
  ) {
    super(`bytes ${offset} to ${offset + length}`);
  }
}

/** The most one look may ask for: metadata that is larger is damage. */
const MOST_BYTES = 4 * 1024 * 1024;

export class Pieces {
  private readonly pieces: { offset: number; bytes: Uint8Array; view: DataView }[] = [];

  constructor(readonly size: number) {}

  add(offset: number, bytes: Uint8Array): void {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.pieces.unshift({ offset, bytes, view });
  }

  bytes(offset: number, length: number): Uint8Array {
    const piece = this.pieceOf(offset, length);
    return piece.bytes.subarray(offset - piece.offset, offset - piece.offset + length);
  }

  u8(offset: number): number {
    const { view, offset: from } = this.pieceOf(offset, 1);
    return view.getUint8(offset - from);
  }

  u16(offset: number, little = false): number {
    const { view, offset: from } = this.pieceOf(offset, 2);
    return view.getUint16(offset - from, little);
  }

  u32(offset: number, little = false): number {
    const { view, offset: from } = this.pieceOf(offset, 4);
    return view.getUint32(offset - from, little);
  }

  /** Of eight bytes; beyond 2^53 it is damage. */
  u64(offset: number): number {
    const value = this.u32(offset) * 2 ** 32 + this.u32(offset + 4);
    if (!Number.isSafeInteger(value)) throw new HeaderError("a length in it is impossible");
    return value;
  }

  /** Latin text, to its first zero byte. */
  text(offset: number, length: number): string {
    return textOf(this.bytes(offset, length));
  }

  private pieceOf(offset: number, length: number): { offset: number; bytes: Uint8Array; view: DataView } {
    if (!(offset >= 0 && length >= 0 && length <= MOST_BYTES) || offset + length > this.size)
      throw new HeaderError("it points outside of itself");
    for (const piece of this.pieces)
      if (offset >= piece.offset && offset + length <= piece.offset + piece.bytes.length) return piece;
    throw new MissingBytes(offset, length);
  }
}

/** UTF-8 is kept by whoever needs it; names of cameras and times are plain. */
export function textOf(bytes: Uint8Array): string {
  let text = "";
  for (const byte of bytes) {
    if (byte === 0) break;
    text += String.fromCharCode(byte);
  }
  return text;
}
