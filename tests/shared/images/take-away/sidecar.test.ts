/**
 * Sidecars as independent programs read them: Debian's exiftool 12.57 and exiv2 0.27. The existing one
 * that is merged was written by exiftool, as a person's photo program would.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { phaseText, suggestedName } from "../../../../shared/images/take-away/labels.ts";
import { SidecarError, sidecar } from "../../../../shared/images/take-away/sidecar.ts";
import { sidecarNames } from "../../../../shared/images/take-away/sidecar-name.ts";
import { isoUtc } from "../../../../shared/time/iso.ts";
import { counterpart } from "../../../support/counterpart.ts";
import { PALM_FIELD } from "../../run/site-world.ts";
import { knowledgeOf, place, stampedAt, worldWithClock } from "../place/frames.ts";

const folder = mkdtempSync(join(tmpdir(), "noonfall-sidecars-"));
const file = (name: string): string => join(folder, name);
const world = worldWithClock();
world.report("west", { filter: "off" }, { at: world.predicted.c2 - 15_000 });
const known = knowledgeOf(world.log);
const { c2, c3 } = world.predicted;
const [inTotality, later] = place(known, "west", stampedAt(c2 + 12_300), stampedAt(c3 + 600_000));
if (!inTotality || !later) throw new Error("no frames");
const about = { rigName: "West telescope", eclipse: "2027-08-02", place: PALM_FIELD };

let said: Record<string, unknown>[];
beforeAll(() => {
  writeFileSync(file("new.xmp"), sidecar({ placed: inTotality, ...about }, null));
  const words = [
    "-XMP-dc:Subject=diamond ring",
    "-XMP-xmp:Label=Red",
    "-XMP-xmp:Rating=4",
    "-XMP-dc:Description=The best one",
  ];
  counterpart("exiftool", [
    "-q",
    "-q",
    ...words,
    "-XMP-exif:DateTimeOriginal=2027:08:02 13:00:00",
    file("theirs.xmp"),
  ]);
  writeFileSync(
    file("merged.xmp"),
    sidecar({ placed: inTotality, ...about }, readFileSync(file("theirs.xmp"), "utf8")),
  );
  // What was written before is taken back when the camera's clock is corrected.
  writeFileSync(
    file("twice.xmp"),
    sidecar({ placed: later, ...about }, readFileSync(file("merged.xmp"), "utf8")),
  );
  writeFileSync(
    file("ours-twice.xmp"),
    sidecar({ placed: later, ...about }, readFileSync(file("new.xmp"), "utf8")),
  );
  const names = ["new.xmp", "merged.xmp", "twice.xmp", "ours-twice.xmp"];
  said = JSON.parse(counterpart("exiftool", ["-j", "-n", "-G1", ...names.map(file)]));
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** As exiftool writes an instant. */
const theirTime = (utcMs: number | null): string =>
  isoUtc(utcMs ?? 0).replace(/^(\d+)-(\d+)-(\d+)T/, "$1:$2:$3 ");

describe("a new sidecar", () => {
  test("says to exiftool when and in which phase the frame was taken", () => {
    expect(said[0]).toMatchObject({
      "XMP-xmp:CreateDate": theirTime(inTotality.utcMs),
      "XMP-photoshop:DateCreated": theirTime(inTotality.utcMs),
      "XMP-exif:DateTimeOriginal": theirTime(inTotality.utcMs),
      "XMP-xmp:Label": phaseText(inTotality.phase as never),
      "XMP-dc:Subject": ["solar eclipse", "eclipse 2027-08-02", "totality", "West telescope"],
      "XMP-noonfall:Phase": "totality",
      "XMP-noonfall:Filter": "off",
      "XMP-noonfall:Contact": "C2",
    });
    expect(said[0]?.["XMP-noonfall:BoundS"]).toBeCloseTo((inTotality.boundMs ?? 0) / 1000, 3);
    expect(said[0]?.["XMP-noonfall:FromContactS"]).toBeCloseTo(12.3, 1);
    expect(said[0]?.["XMP-exif:GPSLatitude"]).toBeCloseTo(PALM_FIELD.latDeg, 5);
    expect(said[0]?.["XMP-exif:GPSLongitude"]).toBeCloseTo(PALM_FIELD.lonDeg, 5);
  });

  test("says the same to exiv2", () => {
    const words = counterpart("exiv2", ["-q", "-PXkv", file("new.xmp")]);
    expect(words).toMatch(new RegExp(`Xmp\\.exif\\.DateTimeOriginal\\s+${isoUtc(inTotality.utcMs ?? 0)}`));
    expect(words).toMatch(/Xmp\.dc\.description\s+lang="x-default" West telescope: totality at 12\.3 s/);
    expect(words).toMatch(/Xmp\.noonfall\.phase\s+totality/);
  });
});

describe("an existing sidecar", () => {
  test("keeps what somebody wrote: rating, label, caption, keywords; the time is ours", () => {
    expect(said[1]).toMatchObject({
      "XMP-xmp:Rating": 4,
      "XMP-xmp:Label": "Red",
      "XMP-dc:Description": "The best one",
      "XMP-dc:Subject": ["diamond ring", "solar eclipse", "eclipse 2027-08-02", "totality", "West telescope"],
      "XMP-exif:DateTimeOriginal": theirTime(inTotality.utcMs),
      "XMP-noonfall:Phase": "totality",
    });
  });

  test("of ours is brought up to date, and only what was ours is taken back", () => {
    expect(said[2]).toMatchObject({
      "XMP-xmp:Label": "Red",
      "XMP-dc:Subject": ["diamond ring", "solar eclipse", "eclipse 2027-08-02", "partial", "West telescope"],
      "XMP-noonfall:Phase": "partial",
    });
    expect(said[3]?.["XMP-xmp:Label"]).toMatch(/^partial, \d+ % covered$/);
    expect(said[3]?.["XMP-dc:Description"]).toMatch(/^West telescope: partial/);
  });

  test("that is no XMP is refused and left", () => {
    for (const text of ["{}", "<a><b></a>", "<note/>", ""])
      expect(() => sidecar({ placed: inTotality, ...about }, text)).toThrow(SidecarError);
  });
});

test("a raw file and its JPEG never share a sidecar", () => {
  const names = sidecarNames(["a/1.NEF", "a/1.JPG", "a/2.JPG"], "name.xmp");
  expect([...names.values()]).toEqual(["a/1.NEF.xmp", "a/1.JPG.xmp", "a/2.xmp"]);
  expect(sidecarNames(["a/2.JPG"], "name.ext.xmp").get("a/2.JPG")).toBe("a/2.JPG.xmp");
});

test("a suggested name sorts by time and keeps the file's own at its end", () => {
  const name = suggestedName({ ...inTotality, frame: { ...inTotality.frame, file: "card/DSC_0042.NEF" } });
  expect(name).toMatch(/^20270802T\d{6}\.\d{3}Z_C2\+012\.3s_west_DSC_0042\.NEF$/);
});
