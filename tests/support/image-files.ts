/**
 * Small files as cameras write them, made of nothing: a grey JPEG (ITU-T T.81), a TIFF with one strip
 * (TIFF 6.0), movies of an index alone (ISO/IEC 14496-12, QuickTime File Format), FITS (standard 4.0).
 * Headers are then put into them by independent programs where those can.
 */

export const ascii = (text: string): number[] => [...text].map((letter) => letter.charCodeAt(0));
export const u16 = (value: number): number[] => [(value >> 8) & 255, value & 255];
export const u32 = (value: number): number[] => [...u16(Math.floor(value / 65_536)), ...u16(value & 0xffff)];

/** A grey picture; `level` 0…255. */
export function greyJpeg(widthPx: number, heightPx: number, level = 128): Uint8Array {
  const step = level - 128;
  const size = step === 0 ? 0 : Math.floor(Math.log2(Math.abs(step))) + 1;
  // One code for "the same as before" and one for the first step; a single one for "nothing more".
  const dcTable = [1, 1, ...Array<number>(14).fill(0), 0, size === 0 ? 1 : size];
  const acTable = [1, ...Array<number>(15).fill(0), 0];
  const bits: number[] = [];
  const blocks = Math.ceil(widthPx / 8) * Math.ceil(heightPx / 8);
  for (let n = 0; n < blocks; n++) {
    if (n === 0 && size > 0) {
      bits.push(1, 0);
      const coded = step > 0 ? step : step + 2 ** size - 1;
      for (let bit = size - 1; bit >= 0; bit--) bits.push((coded >> bit) & 1);
    } else bits.push(0);
    bits.push(0);
  }
  while (bits.length % 8 !== 0) bits.push(1);
  const data: number[] = [];
  for (let i = 0; i < bits.length; i += 8) {
    const byte = bits.slice(i, i + 8).reduce((sum, bit) => sum * 2 + bit, 0);
    data.push(byte, ...(byte === 255 ? [0] : []));
  }
  const segment = (marker: number, body: number[]): number[] => [
    0xff,
    marker,
    ...u16(body.length + 2),
    ...body,
  ];
  return Uint8Array.from([
    0xff,
    0xd8,
    ...segment(0xe0, [...ascii("JFIF"), 0, 1, 1, 0, ...u16(1), ...u16(1), 0, 0]),
    ...segment(0xdb, [0, ...Array<number>(64).fill(8)]),
    ...segment(0xc0, [8, ...u16(heightPx), ...u16(widthPx), 1, 1, 0x11, 0]),
    ...segment(0xc4, [0x00, ...dcTable]),
    ...segment(0xc4, [0x10, ...acTable]),
    ...segment(0xda, [1, 1, 0, 0, 63, 0]),
    ...data,
    0xff,
    0xd9,
  ]);
}

/** A grey TIFF in one strip. `more`: further numbers of its directory, by tag, as LONG. */
export function greyTiff(widthPx: number, heightPx: number, more: Record<number, number> = {}): Uint8Array {
  const strip = Array<number>(widthPx * heightPx).fill(90);
  const entries: Record<number, number> = {
    254: 0,
    256: widthPx,
    257: heightPx,
    258: 8,
    259: 1,
    262: 1,
    273: 8,
    277: 1,
    278: heightPx,
    279: strip.length,
    ...more,
  };
  const tags = Object.keys(entries).map(Number);
  const directory = tags.flatMap((tag) => [...u16(tag), ...u16(4), ...u32(1), ...u32(entries[tag] ?? 0)]);
  const pad = strip.length % 2 === 0 ? [] : [0];
  return Uint8Array.from([
    ...ascii("MM"),
    ...u16(42),
    ...u32(8 + strip.length + pad.length),
    ...strip,
    ...pad,
    ...u16(tags.length),
    ...directory,
    ...u32(0),
  ]);
}

export function box(type: string, ...content: (number[] | Uint8Array)[]): number[] {
  const all = content.flatMap((part) => [...part]);
  return [...u32(all.length + 8), ...ascii(type), ...all];
}

export const FROM_1904_S = 2_082_844_800;

/**
 * A movie of an index with one track. `indexLast` puts some pictures before it, as cameras do.
 * @param createdUtcMs what stands in "mvhd".
 */
export function movie(
  brand: "qt  " | "isom",
  createdUtcMs: number,
  durationS: number,
  { indexLast = 0, user = [] as number[] } = {},
): Uint8Array {
  const created = u32(Math.floor(createdUtcMs / 1000) + FROM_1904_S);
  const scale = 1000;
  const matrix = [1, 0, 0, 0, 1, 0, 0, 0, 0x4000].flatMap((n) => u32(n < 2 ? n * 65_536 : 0x40000000));
  const head = box(
    "mvhd",
    u32(0),
    created,
    created,
    u32(scale),
    u32(durationS * scale),
    u32(0x10000),
    u16(0x100),
    Array<number>(10).fill(0),
    matrix,
    Array<number>(24).fill(0),
    u32(2),
  );
  const track = box(
    "trak",
    box(
      "tkhd",
      u32(7),
      created,
      created,
      u32(1),
      u32(0),
      u32(durationS * scale),
      Array<number>(16).fill(0),
      matrix,
      u32(1920 * 65_536),
      u32(1080 * 65_536),
    ),
  );
  const index = box("moov", head, track, user);
  const pictures = box("mdat", new Uint8Array(indexLast));
  const start = box("ftyp", ascii(brand), u32(512), ascii(brand));
  return Uint8Array.from([...start, ...(indexLast > 0 ? [...pictures, ...index] : [...index, ...pictures])]);
}

/** Cards as given, text already quoted, and an empty array of 16-bit numbers. */
export function fits(cards: readonly (readonly [string, string])[]): Uint8Array {
  const lines = [
    ["SIMPLE", "T"],
    ["BITPIX", "16"],
    ["NAXIS", "2"],
    ["NAXIS1", "640"],
    ["NAXIS2", "480"],
    ...cards,
  ].map(([name = "", value = ""]) =>
    `${name.padEnd(8)}= ${value.startsWith("'") ? value : value.padStart(20)}`.padEnd(80),
  );
  const text = [...lines, "END".padEnd(80)].join("");
  return Uint8Array.from(ascii(text.padEnd(Math.ceil(text.length / 2880) * 2880)));
}

/** A CR3 of headers alone: each directory a TIFF of its own in one box of the maker's. */
export function cr3(blocks: Record<"CMT1" | "CMT2", Uint8Array>, thumbnail: Uint8Array): Uint8Array {
  const maker = [
    0x85, 0xc0, 0xb6, 0x87, 0x82, 0x0f, 0x11, 0xe0, 0x81, 0x11, 0xf4, 0xce, 0x46, 0x2b, 0x6a, 0x48,
  ];
  const thumb = [...u32(0), ...u16(160), ...u16(120), ...u32(thumbnail.length), ...u16(1), ...u16(0)];
  const own = box(
    "uuid",
    maker,
    box("CMT1", blocks.CMT1),
    box("CMT2", blocks.CMT2),
    box("THMB", thumb, thumbnail),
  );
  return Uint8Array.from([...box("ftyp", ascii("crx "), u32(1), ascii("crx isom")), ...box("moov", own)]);
}

/** A RAF: a head, and a JPEG with all that the camera says. */
export function raf(jpeg: Uint8Array): Uint8Array {
  const head = new Uint8Array(160);
  head.set(ascii("FUJIFILMCCD-RAW 0201FF000000Invented R"));
  head.set([...u32(160), ...u32(jpeg.length)], 84);
  return Uint8Array.from([...head, ...jpeg]);
}

/** Directory entries of text alone, as a TIFF: tag → text. */
export function textTiff(entries: Record<number, string>): Uint8Array {
  const tags = Object.keys(entries).map(Number);
  let at = 8 + 2 + 12 * tags.length + 4;
  const values: number[] = [];
  const directory = tags.flatMap((tag) => {
    const text = [...ascii(entries[tag] ?? ""), 0];
    const entry = [...u16(tag), ...u16(2), ...u32(text.length), ...u32(at)];
    if (text.length <= 4) throw new Error("only texts of four letters and more");
    values.push(...text);
    at += text.length;
    return entry;
  });
  return Uint8Array.from([
    ...ascii("MM"),
    ...u16(42),
    ...u32(8),
    ...u16(tags.length),
    ...directory,
    ...u32(0),
    ...values,
  ]);
}

/** Bytes in memory as a source that can be read anywhere. */
export function sourceOf(bytes: Uint8Array): {
  size: number;
  reads: number;
  read(offset: number, length: number): Promise<Uint8Array>;
} {
  return {
    size: bytes.length,
    reads: 0,
    async read(offset, length) {
      this.reads++;
      return bytes.subarray(offset, offset + length);
    },
  };
}
