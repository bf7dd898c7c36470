/** `npm run after`, from a site's file and a folder of images to lines and sidecars. */
import {
  copyFileSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { after } from "../../../hub/after/after.ts";
import { AfterError, readAfterOptions } from "../../../hub/after/options.ts";
import { totals } from "../../../hub/after/report.ts";
import { SqliteLog } from "../../../hub/log/sqlite-log.ts";
import type { PlacedFrame } from "../../../shared/images/place/place-frame.ts";
import { entryOf } from "../../contract/event-log-data.ts";
import { AHEAD_MS, worldWithClock } from "../../shared/images/place/frames.ts";
import { counterpart } from "../../support/counterpart.ts";
import { fits, greyJpeg } from "../../support/image-files.ts";

const folder = mkdtempSync(join(tmpdir(), "noonfall-after-"));
const SITE = join(folder, "site.db");
const CARD = join(folder, "card");
const world = worldWithClock();
const { c1, c2 } = world.predicted;
world.report("west", { filter: "on" }, { at: c1 });
world.report("west", { filter: "off" }, { at: c2 - 15_000 });

/** A camera's stamp of this instant, as Exif has it. */
const exif = (utcMs: number): string => {
  const [date = "", time = ""] = new Date(utcMs + AHEAD_MS).toISOString().slice(0, 22).split("T");
  return `${date.replaceAll("-", ":")} ${time}`;
};

beforeAll(async () => {
  const log = new SqliteLog(SITE);
  await log.append({ ...entryOf("all", []), events: world.log });
  await log.close();
  mkdirSync(join(CARD, "deeper"), { recursive: true });
  const shots = { "1.JPG": c2 + 12_300, "2.JPG": c1 + 600_000, "deeper/3.JPG": c2 };
  for (const [name, at] of Object.entries(shots)) {
    writeFileSync(join(CARD, name), greyJpeg(32, 24));
    const [whole, part] = exif(at).split(".");
    counterpart("exiftool", [
      "-q",
      "-overwrite_original",
      `-DateTimeOriginal=${whole}`,
      `-SubSecTimeOriginal=${part}`,
      join(CARD, name),
    ]);
  }
  writeFileSync(join(CARD, "4.JPG"), greyJpeg(32, 24).subarray(0, 30));
  writeFileSync(join(CARD, "5.fits"), fits([]));
  writeFileSync(join(CARD, "notes.txt"), "not a picture");
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A sidecar of another program's. */
const OTHERS = (nickname: string): string =>
  `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:Rating="4"><xmp:Nickname>${nickname}</xmp:Nickname></rdf:Description></rdf:RDF></x:xmpmeta>`;

async function run(...args: string[]): Promise<string[]> {
  const options = readAfterOptions(["--site", SITE, "--rig", "west", ...args]);
  if (options === "help") throw new Error("help");
  const lines: string[] = [];
  await after(options, (line) => lines.push(line));
  return lines;
}

describe("npm run after", () => {
  test("gives one JSON line a file, and writes nothing", async () => {
    const before = readFileSync(SITE);
    const rows = (await run("--json", CARD)).map((line) => JSON.parse(line));
    expect(rows.map(({ file }) => file)).toEqual(
      ["1.JPG", "2.JPG", "4.JPG", "5.fits", "deeper/3.JPG"].map((name) => join(CARD, name)),
    );
    const [totality, partial, damaged, timeless, contact] = rows;
    expect(totality).toMatchObject({
      rigId: "west",
      phase: "totality",
      filter: "off",
      fromContact: { contact: "C2" },
      warnings: [],
    });
    expect(Math.abs(Date.parse(totality.utc) - (c2 + 12_300))).toBeLessThanOrEqual(totality.boundS * 1000);
    expect(totality.fromContact.s).toBeCloseTo(12.3, 1);
    expect(totality.cameraTime).toBe(exif(c2 + 12_300).replaceAll("-", ":"));
    expect(partial).toMatchObject({ phase: "partial", filter: "on" });
    expect(damaged).toMatchObject({
      utc: null,
      boundS: null,
      cameraTime: null,
      phase: null,
      fromContact: null,
      filter: null,
    });
    expect(damaged.warnings[1]).toMatch(/^cannot be read: /);
    expect(timeless).toMatchObject({ utc: null, warnings: ["no time in the file"] });
    expect(contact.phase).toBe("C2 to within the bound");
    expect(readdirSync(CARD).filter((name) => name.endsWith(".xmp"))).toEqual([]);
    expect(Buffer.compare(readFileSync(SITE), before)).toBe(0);
  });

  test("tells people what it would do, and what it found", async () => {
    const lines = await run(CARD);
    expect(lines[0]).toMatch(
      /1\.JPG {2}2027-08-02T.*Z ±0\.1\d s {2}totality at 12\.3 s, C2\+12\.3 s {2}filter off$/,
    );
    expect(lines.at(-1)).toBe(
      "5 files, 3 with a time in UTC. Nothing was written: --write would make 3 sidecars.",
    );
    expect(lines).toContain("! 1 frame of West telescope without a place: no time in the file");
  });

  test("writes sidecars beside the files with --write, and leaves the files as they are", async () => {
    const image = join(CARD, "1.JPG");
    const before = { bytes: readFileSync(image), changed: statSync(image).mtimeMs };
    await run("--write", "--json", CARD);
    expect(readdirSync(CARD).filter((name) => name.endsWith(".xmp"))).toEqual(["1.xmp", "2.xmp"]);
    expect(readdirSync(join(CARD, "deeper"))).toEqual(["3.JPG", "3.xmp"]);
    const [said] = JSON.parse(counterpart("exiftool", ["-j", join(CARD, "1.xmp")]));
    expect(said.Phase).toBe("totality");
    expect(Buffer.compare(readFileSync(image), before.bytes)).toBe(0);
    expect(statSync(image).mtimeMs).toBe(before.changed);
    // A second time over: the same again, and nothing beside it.
    const first = readFileSync(join(CARD, "1.xmp"), "utf8");
    await run("--write", CARD);
    expect(readFileSync(join(CARD, "1.xmp"), "utf8")).toBe(first);
  });

  test("leaves a sidecar that it cannot read, and says so", async () => {
    writeFileSync(join(CARD, "2.xmp"), "not XML");
    const rows = (await run("--write", "--json", CARD)).map((line) => JSON.parse(line));
    expect(rows[1].warnings[0]).toMatch(/^no sidecar: /);
    expect(readFileSync(join(CARD, "2.xmp"), "utf8")).toBe("not XML");
    expect((await run("--write", CARD)).at(-1)).toContain("sidecars for 2. 1 could not be written");
    // Bytes of another encoding would come back as question marks.
    const latin = Buffer.from(OTHERS("caf\u00e9"), "latin1");
    writeFileSync(join(CARD, "2.xmp"), latin);
    expect((await run("--write", "--json", CARD)).join()).toContain("not written in UTF-8");
    expect(Buffer.compare(readFileSync(join(CARD, "2.xmp")), latin)).toBe(0);
  });

  test("merges into one with a byte order mark, one that ends in .XMP and one behind a link", async () => {
    const card = join(folder, "merged");
    mkdirSync(join(card, "kept"), { recursive: true });
    for (const name of ["a.JPG", "b.JPG", "c.JPG"]) copyFileSync(join(CARD, "1.JPG"), join(card, name));
    writeFileSync(join(card, "a.xmp"), `\ufeff${OTHERS("one")}`);
    writeFileSync(join(card, "b.XMP"), OTHERS("two"));
    writeFileSync(join(card, "kept", "c.xmp"), OTHERS("three"));
    symlinkSync(join(card, "kept", "c.xmp"), join(card, "c.xmp"));
    // What somebody keeps under a name that a careless program would take for its own.
    writeFileSync(join(card, "a.xmp.partial"), "mine");
    const rows = (await run("--write", "--json", card)).map((line) => JSON.parse(line));
    expect(rows.map(({ sidecar, warnings }) => [sidecar, warnings])).toEqual(
      ["a.xmp", "b.xmp", "c.xmp"].map((name) => [join(card, name), []]),
    );
    expect(readdirSync(card).sort()).toEqual(
      ["a.JPG", "a.xmp", "a.xmp.partial", "b.JPG", "b.XMP", "c.JPG", "c.xmp", "kept"].sort(),
    );
    expect(lstatSync(join(card, "c.xmp")).isSymbolicLink()).toBe(true);
    expect(readFileSync(join(card, "a.xmp.partial"), "utf8")).toBe("mine");
    for (const [name, nickname] of [
      ["a.xmp", "one"],
      ["b.XMP", "two"],
      ["kept/c.xmp", "three"],
    ] as const) {
      const [said] = JSON.parse(counterpart("exiftool", ["-j", join(card, name)]));
      expect(said).toMatchObject({ Nickname: nickname, Rating: 4, Phase: "totality" });
    }
  });

  test("takes names as they are, links to files, and each file once; a terminal is shown no control characters", async () => {
    const card = join(folder, "odd");
    mkdirSync(join(card, "folder.JPG"), { recursive: true });
    const names = ["with space.JPG", "new\nline.JPG", "turned\u202egpj.JPG", "-dash.JPG"];
    for (const name of names) copyFileSync(join(CARD, "1.JPG"), join(card, name));
    symlinkSync(join(CARD, "1.JPG"), join(card, "link.JPG"));
    symlinkSync(join(card, "nowhere"), join(card, "gone.JPG"));
    symlinkSync(card, join(card, "ring"));
    symlinkSync(card, join(card, "ring.JPG"));
    writeFileSync(join(card, "empty.JPG"), "");
    const rows = (await run("--json", card, join(card, "..", "odd"))).map((line) => JSON.parse(line));
    const placed = rows.filter(({ phase }) => phase === "totality").map(({ file }) => file);
    expect(placed.sort()).toEqual([...names, "link.JPG"].map((name) => join(card, name)).sort());
    expect(rows.filter(({ utc }) => utc === null).map(({ warnings }) => warnings[1])).toEqual([
      "cannot be read: it is empty or nearly so",
      "cannot be read: ENOENT",
    ]);
    const lines = await run(card);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: those are what may not be there.
    for (const line of lines) expect(line).not.toMatch(/[\u0000-\u001f\u202e]/);
    expect(lines.join(" ")).toContain("new\\u000aline.JPG");
    expect(lines.at(-1)).toMatch(/^7 files, 5 with a time in UTC/);
    const nothing = join(folder, "nothing");
    mkdirSync(nothing);
    expect(await run("--json", nothing)).toEqual([]);
    expect(await run(nothing)).toEqual([
      "0 files, 0 with a time in UTC. Nothing was written: --write would make 0 sidecars.",
    ]);
  });
});

test("the sum says why frames whose time is not known well get no sidecar", () => {
  const placed = [
    { utcMs: 1, boundMs: null },
    { utcMs: 2, boundMs: 500 },
  ] as PlacedFrame[];
  expect(totals(2, placed, false, 1)).toMatch(/would make 1 sidecars?\. 1 would get none: .*camera's clock/);
  expect(totals(2, placed, true, 1)).toMatch(/sidecars for 1\. 1 got none: /);
});

describe("mistakes name the option", () => {
  test.each([
    [["--rig", "west", "x"], /--site FILE is missing/],
    [["--site", "x", "y"], /--rig ID is missing/],
    [["--site", "x", "--rig", "west"], /FOLDER is missing/],
    [["--site", "x", "--rig", "west", "--sidecar", "y", "z"], /--sidecar must be/],
    [["--sight", "x"], /--sight/],
  ])("%j", (args, message) => {
    expect(() => readAfterOptions(args)).toThrow(message);
  });

  test("that only the disk or the site knows", async () => {
    const rejects = async (args: string[], message: RegExp) => {
      const options = readAfterOptions(args);
      if (options === "help") throw new Error("help");
      const told = after(options, () => {});
      await expect(told).rejects.toThrow(message);
      await expect(told).rejects.toThrow(AfterError);
    };
    await rejects(["--site", join(folder, "none.db"), "--rig", "west", CARD], /--site: there is no file/);
    await rejects(["--site", join(CARD, "notes.txt"), "--rig", "west", CARD], /--site: .*notes\.txt/);
    await rejects(
      ["--site", SITE, "--rig", "east", CARD],
      /--rig: there is no rig "east".*there are: west, eye, wide/,
    );
    await rejects(["--site", SITE, "--rig", "west", join(folder, "none")], /FOLDER: there is no/);
    await rejects(
      ["--site", SITE, "--rig", "west", "--camera", "Z", CARD],
      /--camera: .*known are: Camera A/,
    );
  });
});
