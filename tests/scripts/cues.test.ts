/** The command that prints the default lists for a person to judge. */
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { placesAsked, TELLING_PLACES } from "../../scripts/cues/places.ts";
import { type Printed, sheetOf } from "../../scripts/cues/sheet.ts";
import { circumstances } from "../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../shared/eclipse/table.ts";
import { RIG_KINDS } from "../../shared/plan/model/vocabulary.ts";

const root = fileURLToPath(new URL("../..", import.meta.url));
const words = Object.assign(
  {},
  ...["plan", "kinds"].map((part) =>
    JSON.parse(readFileSync(`${root}/console/words/en/${part}.json`, "utf8")),
  ),
) as Record<string, string>;

function sheet(eclipse: string, latDeg: number, lonDeg: number, printed: Printed[] = []): string {
  const elements = eclipseById(eclipse);
  if (!elements) throw new Error(`the table lacks ${eclipse}`);
  const place = { title: "here", eclipse, latDeg, lonDeg, heightM: 0, limb: false };
  return sheetOf(place, circumstances(elements, place), words, printed.length > 0 ? 2 : 1, printed);
}

describe("the printed lists", () => {
  it("hold one line for each cue, with its time to the contact and in UTC, and what it asks", () => {
    const text = sheet("2027-08-02", 25.69, 32.64);
    const off = text.split("\n").find((line) => line.includes("Take the filter off."));
    expect(off).toMatch(
      /^C2−20 +\d\d:\d\d:\d\d +filter-off +Take the filter off\. +−10…\+30 +count 10 +hands 6 +confirm$/,
    );
    expect(text).toMatch(/every 300 until C2−640 \(\d+×\)/);
    expect(text).toMatch(/^UTC: C1 .* C4 \d\d:\d\d:\d\d$/m);
  });

  it("name every kind of rig", () => {
    const text = sheet("2028-01-26", 37.39, -5.99);
    for (const kind of RIG_KINDS) expect(text).toContain(words[`rigKind.${kind}`]);
    expect(text).toMatch(/annular .*\n.* sunset \d\d:\d\d:\d\d/);
  });

  it("say of a list that was printed before only that, and of a near one in what it differs", () => {
    const printed: Printed[] = [];
    const first = sheet("2027-08-02", 25.69, 32.64, printed);
    const again = sheet("2027-08-02", 25.6, 32.6, printed);
    expect(again.split("\n").length).toBeLessThan(8);
    expect(again).toContain("As before – Tracked telescope with camera: 1a");
    const tripod = first.slice(first.indexOf("## 1b Camera on a tripod"), first.indexOf("## 1c"));
    expect(tripod.trim().split("\n")).toHaveLength(4);
  });

  it("say where nothing is seen", () => {
    expect(sheet("2027-08-02", -80, 0)).toContain("Nothing of it is seen here");
  });

  it("are of places that include every kind of eclipse, a sunset, a sunrise and a path's edge", () => {
    const ids = new Set(TELLING_PLACES.map(({ eclipse }) => eclipse));
    for (const id of ["2027-08-02", "2028-07-22", "2028-01-26", "2031-11-14", "2030-11-25"])
      expect(ids).toContain(id);
    expect(TELLING_PLACES).toContainEqual(expect.objectContaining({ latDeg: -27.74, lonDeg: 147.57 }));
    expect(TELLING_PLACES).toContainEqual(expect.objectContaining({ latDeg: 24.415, lonDeg: 32.64 }));
  });
});

describe("the command's arguments", () => {
  it("are a set of places, or one", () => {
    expect(placesAsked([])).toEqual({ places: TELLING_PLACES });
    const one = ["--eclipse", "2027-08-02", "--lat", "25.69", "--lon", "-32.5", "--limb", "off"];
    expect(placesAsked(one)).toMatchObject({
      places: [{ eclipse: "2027-08-02", latDeg: 25.69, lonDeg: -32.5, heightM: 0, limb: false }],
    });
  });

  it.each([
    [["--eclipse", "2027"], "--eclipse"],
    [["--eclipse", "2027-08-02", "--lat", "95", "--lon", "0"], "--lat"],
    [["--eclipse", "2027-08-02", "--lat", "x", "--lon", "0"], "--lat"],
    [["--eclipse", "2027-08-02", "--lat", "5"], "--lon"],
    [["--eclipse", "2027-08-02", "--lat", "5", "--lon", "5", "--limb", "maybe"], "--limb"],
    [["--lattitude", "5"], "--lattitude"],
  ])("that are wrong are named (%j)", (args, named) => {
    expect(placesAsked(args)).toEqual({ wrong: expect.stringContaining(named) });
  });

  it("reach the program, which fails with one line for an eclipse there is not", () => {
    const program = `${root}/scripts/cues/print-lists.ts`;
    const run = (id: string) => {
      const args = [
        "--import",
        "tsx",
        program,
        "--eclipse",
        id,
        "--lat",
        "25",
        "--lon",
        "33",
        "--limb",
        "off",
      ];
      return execFileSync(process.execPath, args, { cwd: root, encoding: "utf8", stdio: "pipe" });
    };
    expect(run("2027-08-02")).toContain("## 1a Tracked telescope with camera");
    expect(() => run("2027-08-03")).toThrow(/--eclipse: there is no solar eclipse 2027-08-03/);
  });
});
