/** A QuickTime movie of nothing but sound, 16 bits, one channel: what a camera heard. */
import { ascii, box, FROM_1904_S, u16, u32 } from "./image-files.ts";

/** Written after Apple's QuickTime File Format, "Movie atoms" and "Sound sample description". */
export function soundMovie(createdUtcMs: number, samples: Int16Array, rateHz: number): Uint8Array {
  const created = u32(Math.floor(createdUtcMs / 1000) + FROM_1904_S);
  const matrix = [0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x40000000].flatMap(u32);
  const length = u32(samples.length);
  const zeros = (count: number) => Array<number>(count).fill(0);
  const mvhd = box(
    "mvhd",
    u32(0),
    created,
    created,
    u32(rateHz),
    length,
    u32(0x10000),
    u16(0x100),
    zeros(10),
    matrix,
    zeros(24),
    u32(2),
  );
  const tkhd = box(
    "tkhd",
    u32(7),
    created,
    created,
    u32(1),
    u32(0),
    length,
    zeros(8),
    u16(0),
    u16(0),
    u16(0x100),
    u16(0),
    matrix,
    u32(0),
    u32(0),
  );
  const mdhd = box("mdhd", u32(0), created, created, u32(rateHz), length, u16(0), u16(0));
  const handler = (type: string, sub: string) => box("hdlr", u32(0), ascii(type), ascii(sub), zeros(12), [0]);
  const entry = box(
    "sowt",
    zeros(6),
    u16(1),
    u16(0),
    u16(0),
    u32(0),
    u16(1),
    u16(16),
    u16(0),
    u16(0),
    u32(rateHz * 65_536),
  );
  const table = (offset: number) =>
    box(
      "stbl",
      box("stsd", u32(0), u32(1), entry),
      box("stts", u32(0), u32(1), length, u32(1)),
      box("stsc", u32(0), u32(1), u32(1), length, u32(1)),
      box("stsz", u32(0), u32(2), length),
      box("stco", u32(0), u32(1), u32(offset)),
    );
  const dinf = box("dinf", box("dref", u32(0), u32(1), box("alis", u32(1))));
  const moov = (offset: number) =>
    box(
      "moov",
      mvhd,
      box(
        "trak",
        tkhd,
        box(
          "mdia",
          mdhd,
          handler("mhlr", "soun"),
          box("minf", box("smhd", u32(0), u32(0)), handler("dhlr", "alis"), dinf, table(offset)),
        ),
      ),
    );
  const start = box("ftyp", ascii("qt  "), u32(512), ascii("qt  "));
  const head = [...start, ...moov(start.length + moov(0).length + 8)];
  const sound = new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength);
  const movie = new Uint8Array(head.length + 8 + sound.length);
  movie.set([...head, ...u32(sound.length + 8), ...ascii("mdat")]);
  movie.set(sound, head.length + 8);
  return movie;
}
