/**
 * Headers as independent programs write and read them: Debian's exiftool 12.57 (writes Exif into JPEG,
 * TIFF, DNG and QuickTime, reads all), exiv2 0.27 (reads Exif), heif-enc of libheif 1.15 (makes HEIC).
 * CR3, RAF and movies are small files of our own making, read by exiftool, too.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { FileHeaders } from "../../../../shared/images/headers/file-headers.ts";
import { HeaderError } from "../../../../shared/images/headers/pieces.ts";
import { readHeaders } from "../../../../shared/images/headers/read-headers.ts";
import { counterpart } from "../../../support/counterpart.ts";
import {
  box,
  cr3,
  fits,
  greyJpeg,
  greyTiff,
  movie,
  raf,
  sourceOf,
  textTiff,
} from "../../../support/image-files.ts";
import { numbersFrom } from "../../../support/random.ts";

const folder = mkdtempSync(join(tmpdir(), "noonfall-headers-"));
const file = (name: string): string => join(folder, name);
const STILLS = ["a.jpg", "a.tif", "a.dng", "a.nef", "a.arw", "a.pef"];
const MADE = Date.UTC(2027, 7, 2, 9, 50, 3);
const read = (name: string): Promise<FileHeaders> => readHeaders(sourceOf(readFileSync(file(name))));

/** exiftool's words for a file, numbers as numbers. */
let said: Map<string, Record<string, unknown>>;

beforeAll(() => {
  const thumbnail = greyJpeg(160, 120, 60);
  writeFileSync(file("thumbnail.jpg"), thumbnail);
  for (const name of STILLS)
    writeFileSync(file(name), name === "a.jpg" ? greyJpeg(64, 48) : greyTiff(64, 48));
  writeFileSync(file("keys.mov"), movie("qt  ", MADE, 42, { indexLast: 200_000 }));
  writeFileSync(file("plain.mp4"), movie("isom", MADE, 42));
  const words = [
    "-DateTimeOriginal=2027:08:02 12:02:07",
    "-SubSecTimeOriginal=35",
    "-OffsetTimeOriginal=+02:00",
  ];
  const settings = ["-ExposureTime=1/60", "-FNumber=5.6", "-ISO=400", "-FocalLength=480", "-Model=Camera A"];
  const stills = STILLS.map(file);
  const all = ["-overwrite_original", "-q", "-q"];
  counterpart("exiftool", [
    ...[...all, ...words, ...settings, "-Make=Invented", "-SerialNumber=0042", ...stills, "-execute"],
    ...[
      ...all,
      `-ThumbnailImage<=${file("thumbnail.jpg")}`,
      "-GPSDateStamp=2027:08:02",
      "-GPSTimeStamp=10:02:06",
      file("a.jpg"),
      "-execute",
    ],
    ...[...all, "-DNGVersion=1.4.0.0", file("a.dng"), "-execute"],
    ...[...all, "-Keys:CreationDate=2027:08:02 11:50:01+02:00", "-Keys:Model=Video B", file("keys.mov")],
  ]);
  counterpart("heif-enc", ["-o", file("a.heic"), file("a.jpg")]);
  writeFileSync(file("a.raf"), raf(readFileSync(file("a.jpg"))));
  const first = textTiff({ 272: "Camera C", 306: "2027:08:02 12:40:00" });
  const exif = textTiff({ 36867: "2027:08:02 12:02:09", 36881: "+02:00", 37521: "0250" });
  writeFileSync(file("a.cr3"), cr3({ CMT1: first, CMT2: exif }, thumbnail));
  writeFileSync(
    file("a.fits"),
    fits([
      ["DATE-OBS", "'2027-08-02T10:02:07.123'"],
      ["EXPTIME", "0.25"],
      ["INSTRUME", "'Camera D'"],
    ]),
  );
  const names = [...STILLS, "keys.mov", "plain.mp4", "a.heic", "a.raf", "a.cr3", "a.fits"];
  const rows = JSON.parse(counterpart("exiftool", ["-j", "-n", ...names.map(file)])) as Record<
    string,
    unknown
  >[];
  said = new Map(rows.map((row, i) => [names[i] ?? "", row]));
}, 60_000);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe("what exiftool wrote, made into HEIC by heif-enc", () => {
  test.each([...STILLS, "a.heic", "a.raf"])("%s gives what exiftool reads", async (name) => {
    const headers = await read(name);
    const theirs = said.get(name) ?? {};
    expect(headers.stamp?.text).toBe("2027:08:02 12:02:07.35+02:00");
    expect(theirs.SubSecDateTimeOriginal).toBe(headers.stamp?.text);
    expect(headers.stamp).toMatchObject({
      localMs: Date.UTC(2027, 7, 2, 12, 2, 7, 350),
      stepMs: 10,
      offsetMin: 120,
    });
    // exiftool prints rationals to some ten digits.
    expect(headers.exposureS).toBeCloseTo(theirs.ExposureTime as number, 9);
    expect(headers.fNumber).toBe(theirs.FNumber);
    expect(headers.iso).toBe(theirs.ISO);
    expect(headers.focalLengthMm).toBe(theirs.FocalLength);
    expect([headers.make, headers.model]).toEqual([theirs.Make, theirs.Model]);
    expect([headers.widthPx, headers.heightPx]).toEqual([theirs.ImageWidth, theirs.ImageHeight]);
    expect(headers.serial).toBe("0042");
  });

  test("exiv2 reads the same of the JPEG", async () => {
    const words = counterpart("exiv2", ["-q", "-Pkv", file("a.jpg")]);
    const exiv2 = new Map(words.split("\n").map((line) => line.split(/\s+(.*)/, 2) as [string, string]));
    const { stamp, exposureS } = await read("a.jpg");
    const [date, subSec, zone] = ["DateTimeOriginal", "SubSecTimeOriginal", "OffsetTimeOriginal"].map(
      (tag) =>
        // exiv2 0.27 does not know the names of Exif 2.31's offsets.
        exiv2.get(`Exif.Photo.${tag}`) ?? exiv2.get("Exif.Photo.0x9011"),
    );
    expect(stamp?.text).toBe(`${date}.${subSec}${zone}`);
    const [over = 0, under = 1] = (exiv2.get("Exif.Photo.ExposureTime") ?? "").split("/").map(Number);
    expect(exposureS).toBe(over / under);
  });

  test("the thumbnail lies where it is said to, byte by byte", async () => {
    for (const name of ["a.jpg", "a.heic", "a.raf", "a.cr3"]) {
      const { thumbnail } = await read(name);
      if (!thumbnail) throw new Error(`no thumbnail in ${name}`);
      const bytes = readFileSync(file(name)).subarray(thumbnail.offset, thumbnail.offset + thumbnail.length);
      expect(Buffer.compare(bytes, readFileSync(file("thumbnail.jpg")))).toBe(0);
    }
  });

  test("GPS gives UTC besides", async () => {
    expect((await read("a.jpg")).gpsUtcMs).toBe(Date.UTC(2027, 7, 2, 10, 2, 6));
  });

  test("raw formats are told apart by what is in them", async () => {
    expect((await read("a.dng")).format).toBe("dng");
    expect((await read("a.raf")).format).toBe("raf");
    expect((await read("a.heic")).format).toBe("heic");
  });

  test("of CR3 the time of exposure counts, not that of the last change", async () => {
    const { stamp, model, warnings } = await read("a.cr3");
    expect(stamp).toMatchObject({
      text: "2027:08:02 12:02:09.0250+02:00",
      offsetMin: 120,
      field: "DateTimeOriginal",
    });
    expect(stamp?.localMs).toBe(Date.UTC(2027, 7, 2, 12, 2, 9, 25));
    expect(said.get("a.cr3")).toMatchObject({ DateTimeOriginal: "2027:08:02 12:02:09", Model: model });
    expect(warnings).toEqual([]);
  });
});

describe("videos", () => {
  test("a creation date with its offset goes before the header's, though the index lies behind the pictures", async () => {
    const headers = await read("keys.mov");
    expect(headers).toMatchObject({
      kind: "video",
      format: "mov",
      durationS: 42,
      model: "Video B",
      warnings: [],
    });
    expect(headers.stamp).toMatchObject({ localMs: Date.UTC(2027, 7, 2, 11, 50, 1), offsetMin: 120 });
    expect(said.get("keys.mov")).toMatchObject({ CreationDate: "2027:08:02 11:50:01+02:00", Duration: 42 });
  });

  test("the header's own time says nothing of its offset and warns", async () => {
    const { stamp, warnings, widthPx, heightPx } = await read("plain.mp4");
    expect(stamp).toMatchObject({ localMs: MADE, stepMs: 1000, offsetMin: null, field: "mvhd" });
    expect(said.get("plain.mp4")).toMatchObject({
      CreateDate: "2027:08:02 09:50:03",
      ImageWidth: widthPx,
      ImageHeight: heightPx,
    });
    expect(warnings).toEqual(["may be local time"]);
  });

  test("the maker's box of a still format counts in movies, too: sub-seconds and offset", async () => {
    const exif = textTiff({ 36867: "2027:08:02 12:02:09", 36881: "+02:00", 37521: "0250" });
    const still = cr3({ CMT1: textTiff({ 272: "Camera C" }), CMT2: exif }, greyJpeg(16, 16));
    // Its "moov" holds nothing else: what is in it stands in the movie's.
    const own = still.subarray(
      still.findIndex((_, i) => String.fromCharCode(...still.subarray(i, i + 4)) === "uuid") - 4,
    );
    const { stamp, model } = await readHeaders(sourceOf(movie("isom", MADE, 5, { user: [...own] })));
    expect(stamp).toMatchObject({ text: "2027:08:02 12:02:09.0250+02:00", offsetMin: 120 });
    expect(model).toBe("Camera C");
  });

  test("©day of the user data counts, a year alone does not", async () => {
    const day = (text: string): number[] =>
      box(
        "©day",
        [0, text.length, 0, 0],
        [...text].map((c) => c.charCodeAt(0)),
      );
    const of = (text: string): Promise<FileHeaders> =>
      readHeaders(sourceOf(movie("qt  ", MADE, 5, { user: box("udta", day(text)) })));
    expect((await of("2027-08-02T12:50:01+03:00")).stamp).toMatchObject({ offsetMin: 180, field: "©day" });
    expect((await of("2027")).stamp?.field).toBe("mvhd");
  });
});

describe("FITS", () => {
  const stampOf = async (...cards: [string, string][]): Promise<FileHeaders["stamp"]> =>
    (await readHeaders(sourceOf(fits(cards)))).stamp;

  test("DATE-OBS is UTC where nothing else is said, and exiftool reads the same card", async () => {
    const headers = await read("a.fits");
    expect(headers).toMatchObject({
      format: "fits",
      exposureS: 0.25,
      model: "Camera D",
      widthPx: 640,
      heightPx: 480,
    });
    expect(headers.stamp).toMatchObject({
      localMs: Date.UTC(2027, 7, 2, 10, 2, 7, 123),
      stepMs: 1,
      offsetMin: 0,
    });
    expect(said.get("a.fits")?.ObservationDate).toBe(headers.stamp?.text);
  });

  // TT − UTC = 69.184 s from 2017 on (32.184 s + 37 leap seconds, IERS Bulletin C).
  test("TIMESYS counts: TT is taken back to UTC", async () => {
    const stamp = await stampOf(["DATE-OBS", "'2027-08-02T10:03:16.307'"], ["TIMESYS", "'TT      '"]);
    expect(stamp?.localMs).toBeCloseTo(Date.UTC(2027, 7, 2, 10, 2, 7, 123), 3);
  });

  // FITS 4.0 §4.4.2.1: "DD/MM/YY" is of 1900 to 1999.
  test("the old form with day first is read, with its time of day from another card", async () => {
    const stamp = await stampOf(["DATE-OBS", "'11/08/99'"], ["UT", "'11:08:03.5'"]);
    expect(stamp).toMatchObject({ localMs: Date.UTC(1999, 7, 11, 11, 8, 3, 500), stepMs: 100 });
  });

  test("the middle of an exposure leads to its begin", async () => {
    const stamp = await stampOf(["DATE-AVG", "'2027-08-02T10:02:08'"], ["EXPTIME", "4.0"]);
    expect(stamp).toMatchObject({ localMs: Date.UTC(2027, 7, 2, 10, 2, 6), field: "DATE-AVG" });
  });
});

describe("traps", () => {
  test("DateTimeOriginal in the first directory counts", async () => {
    const bytes = textTiff({ 306: "2027:08:02 13:00:00", 36867: "2027:08:02 12:02:07" });
    expect((await readHeaders(sourceOf(bytes))).stamp).toMatchObject({
      field: "DateTimeOriginal",
      offsetMin: null,
      stepMs: 1000,
    });
  });

  test("the time of the last change alone is taken with a warning; zeros are no time", async () => {
    const changed = await readHeaders(sourceOf(textTiff({ 306: "2027:08:02 13:00:00" })));
    expect(changed.warnings).toEqual(["time of change only"]);
    const zeros = await readHeaders(sourceOf(textTiff({ 36867: "0000:00:00 00:00:00" })));
    expect([zeros.stamp, zeros.warnings]).toEqual([null, ["no time"]]);
  });

  test("what is no such file is told as an error", async () => {
    const text = new TextEncoder().encode("Notes of the evening, nothing else.");
    await expect(readHeaders(sourceOf(text))).rejects.toThrow(HeaderError);
    await expect(readHeaders(sourceOf(new Uint8Array(0)))).rejects.toThrow(HeaderError);
  });
});

test("damaged files end in headers or in an error, after a bounded number of reads", async () => {
  const names = [...STILLS.slice(0, 3), "keys.mov", "plain.mp4", "a.heic", "a.raf", "a.cr3", "a.fits"];
  const random = numbersFrom(20270802);
  let errors = 0;
  for (const name of names) {
    const whole = readFileSync(file(name));
    for (let n = 0; n < 250; n++) {
      const bytes = Uint8Array.from(
        whole.subarray(0, n % 5 === 0 ? Math.floor(random() * whole.length) : whole.length),
      );
      // Where headers lie: at the begin, and of the movie at its end.
      const span = Math.min(bytes.length, 700);
      const from = n % 2 === 0 ? 0 : bytes.length - span;
      for (let hit = 0; hit <= n % 8; hit++) {
        const at = from + Math.floor(random() * span);
        bytes[at] = random() < 0.3 ? 0xff : Math.floor(random() * 256);
      }
      const source = sourceOf(bytes);
      try {
        await readHeaders(source);
      } catch (error) {
        if (!(error instanceof HeaderError)) throw error;
        errors++;
      }
      expect(source.reads).toBeLessThanOrEqual(24);
    }
  }
  expect(errors).toBeGreaterThan(200);
}, 20_000);
