/**
 * The picture inside a raw file, against what Debian's exiftool takes out of the same file. The files are
 * heads of our own making with JPEGs at the places that the formats have for them.
 */
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { HeaderError } from "../../../../shared/images/headers/pieces.ts";
import { previewIn } from "../../../../shared/images/headers/preview.ts";
import { counterpart } from "../../../support/counterpart.ts";
import {
  ascii,
  box,
  cr3,
  greyJpeg,
  greyTiff,
  raf,
  sourceOf,
  textTiff,
  u16,
  u32,
} from "../../../support/image-files.ts";
import { numbersFrom } from "../../../support/random.ts";

const folder = mkdtempSync(join(tmpdir(), "noonfall-preview-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const LARGE = greyJpeg(640, 480, 90);
const SMALL = greyJpeg(160, 120, 60);
/** As a sensor's own: the frame header says lossless (C3), and it is the largest. */
const LOSSLESS = Uint8Array.from(
  [...greyJpeg(1280, 960, 30)].map((byte, i, all) => (byte === 0xc0 && all[i - 1] === 0xff ? 0xc3 : byte)),
);

/** A TIFF with little-endian numbers: directories of [tag, type, value], each followed by the next. */
function directories(magic: number, all: [number, number, number][][], blobs: Uint8Array[]): Uint8Array {
  const le = (value: number, bytes: number) =>
    Array.from({ length: bytes }, (_, i) => (value >>> (8 * i)) & 255);
  const starts: number[] = [];
  let at = 8;
  for (const entries of all) {
    starts.push(at);
    at += 2 + 12 * entries.length + 4;
  }
  const places: number[] = [];
  for (const blob of blobs) {
    places.push(at);
    at += blob.length;
  }
  const head = [...ascii("II"), ...le(magic, 2), ...le(8, 4)];
  const body = all.flatMap((entries, n) => [
    ...le(entries.length, 2),
    ...entries.flatMap(([tag, type, value]) => {
      const blob = blobs[-value - 1];
      const count = type === 7 ? (blob?.length ?? 0) : 1;
      return [
        ...le(tag, 2),
        ...le(type, 2),
        ...le(count, 4),
        ...le(value < 0 ? (places[-value - 1] ?? 0) : value, 4),
      ];
    }),
    ...le(starts[n + 1] ?? 0, 4),
  ]);
  return Uint8Array.from([...head, ...body, ...blobs.flatMap((blob) => [...blob])]);
}

async function inside(bytes: Uint8Array): Promise<Uint8Array | null> {
  const place = await previewIn(sourceOf(bytes));
  return place && bytes.subarray(place.offset, place.offset + place.length);
}

/** What exiftool takes out. */
function taken(name: string, bytes: Uint8Array, tag: string): Uint8Array {
  writeFileSync(join(folder, name), bytes);
  // It is there, or this names Debian's package.
  counterpart("exiftool", ["-ver"]);
  return execFileSync("exiftool", ["-b", `-${tag}`, join(folder, name)], { maxBuffer: 1e8 });
}

const same = (a: Uint8Array | null, b: Uint8Array) => expect(a && Buffer.compare(a, b)).toBe(0);

describe("the picture inside a raw file", () => {
  test("of a TIFF's directories is the largest that a browser opens, not the sensor's lossless one", async () => {
    const jpeg = (blob: number, length: number): [number, number, number][] => [
      [0x103, 3, 6],
      [0x201, 4, blob],
      [0x202, 4, length],
    ];
    const file = directories(
      42,
      [
        [
          [0x100, 4, 64],
          [0x101, 4, 48],
          [0x103, 3, 7],
          [0x111, 4, -1],
          [0x117, 4, LOSSLESS.length],
        ],
        jpeg(-2, SMALL.length),
        jpeg(-3, LARGE.length),
      ],
      [LOSSLESS, SMALL, LARGE],
    );
    expect(LOSSLESS.length).toBeGreaterThan(LARGE.length);
    same(await inside(file), LARGE);
    same(taken("a.nef", file, "ThumbnailImage"), SMALL);
  });

  test("of a RAF and an RW2 is what their heads point to", async () => {
    const fuji = raf(LARGE);
    same(await inside(fuji), LARGE);
    same(taken("a.raf", fuji, "PreviewImage"), LARGE);
    const panasonic = directories(0x55, [[[0x2e, 7, -1]]], [LARGE]);
    same(await inside(panasonic), LARGE);
    same(taken("a.rw2", panasonic, "JpgFromRaw"), LARGE);
  });

  test("of a CR3 is the preview in its maker's box, or the JPEG that is a track, whichever is larger", async () => {
    const maker = [
      0xea, 0xf4, 0x2b, 0x5e, 0x1c, 0x98, 0x4b, 0x88, 0xb9, 0xfb, 0xb7, 0xdc, 0x40, 0x6e, 0x4d, 0x16,
    ];
    const about = [...u32(0), ...u16(1), ...u16(640), ...u16(480), ...u16(1), ...u32(LARGE.length)];
    const preview = box("uuid", maker, u32(0), u32(1), box("PRVW", about, LARGE));
    const head = cr3(
      { CMT1: textTiff({ 272: "Camera C" }), CMT2: textTiff({ 36867: "2027:08:02 12:02:07" }) },
      SMALL,
    );
    const file = Uint8Array.from([...head, ...preview]);
    same(await inside(file), LARGE);
    same(taken("a.cr3", file, "PreviewImage"), LARGE);

    const whole = greyJpeg(2560, 1920, 80);
    expect(whole.length).toBeGreaterThan(LARGE.length);
    const track = (offset: number) =>
      box(
        "moov",
        box(
          "trak",
          box(
            "mdia",
            box(
              "minf",
              box(
                "stbl",
                box("stsz", u32(0), u32(0), u32(1), u32(whole.length)),
                box("co64", u32(0), u32(1), u32(0), u32(offset)),
              ),
            ),
          ),
        ),
      );
    const start = box("ftyp", ascii("crx "), u32(1), ascii("crx isom"));
    const at = start.length + track(0).length + preview.length + 8;
    const tracked = Uint8Array.from([...start, ...track(at), ...preview, ...box("mdat", whole)]);
    same(await inside(tracked), whole);
  });

  test("is none where there is none: plain TIFF, a JPEG itself, ends that were cut off", async () => {
    expect(await inside(greyTiff(64, 48))).toBeNull();
    expect(await inside(LARGE)).toBeNull();
    expect(await inside(raf(LARGE).subarray(0, 400))).toBeNull();
    await expect(inside(new Uint8Array(4))).rejects.toThrow(HeaderError);
  });

  test("of damaged files ends in nothing or an error, within a moment", async () => {
    const next = numbersFrom(41);
    const files = [
      raf(LARGE),
      directories(
        42,
        [
          [
            [0x201, 4, -1],
            [0x202, 4, LARGE.length],
          ],
        ],
        [LARGE],
      ),
    ];
    const since = performance.now();
    for (let n = 0; n < 400; n++) {
      const bytes = Uint8Array.from(files[n % files.length] as Uint8Array);
      for (let i = 0; i < 6; i++) bytes[Math.floor(next() * 300)] = Math.floor(next() * 256);
      try {
        const place = await previewIn(sourceOf(bytes));
        if (place) expect(place.offset + place.length).toBeLessThanOrEqual(bytes.length);
      } catch (error) {
        expect(error).toBeInstanceOf(HeaderError);
      }
    }
    expect(performance.now() - since).toBeLessThan(20_000);
  });
});
