/** What leaves the page, without a browser: a folder in memory stands for one that may be written. */
import { strFromU8, unzipSync } from "fflate";
import { parse } from "papaparse";
import { beforeEach, describe, expect, test } from "vitest";
import type { ImageRow } from "../../../../../console/lead/after/images/image-row.ts";
import {
  imagesTable,
  sidecarArchive,
  type TakeAwayOf,
  type WritableFolder,
  writeSidecars,
} from "../../../../../console/lead/after/images/take-away.ts";
import { stampedJpeg } from "../../../../support/stamped-jpeg.ts";

const TAKEN = Date.UTC(2027, 7, 2, 12, 2, 20, 350);
const CAMERA_TIME = "2027:08:02 12:02:20.3500";

const row = (rigId: string, file: string, more: Partial<ImageRow> = {}): ImageRow => ({
  ...{ rigId, file, kind: "image", camera: "A", cameraTime: CAMERA_TIME, utc: "2027-08-02T10:02:20.350Z" },
  ...{ boundS: 0.11, phase: "totality", fromContact: { contact: "C2", s: 12 }, covered: null, intoS: 12 },
  ...{ sunAltitudeDeg: 80, sunAzimuthDeg: 180, filter: "off", cueId: null, differences: [] },
  ...{ exposureS: 0.01, fNumber: 8, iso: 100, durationS: null, warnings: [] },
  ...more,
});

const what = (rows: ImageRow[], more: Partial<TakeAwayOf> = {}): TakeAwayOf => ({
  rows,
  naming: "name.xmp",
  rigName: (id) => `Rig ${id}`,
  eclipse: "2027-08-02",
  site: null,
  existing: async () => null,
  progress: () => {},
  goesOn: () => true,
  ...more,
});

/** Files by path; a folder is there when a file in it is. */
let disk: Map<string, Blob>;
function folder(at = "", name = "cards"): WritableFolder {
  return {
    name,
    getDirectoryHandle: async (name) => {
      if (![...disk.keys()].some((path) => path.startsWith(`${at}${name}/`)))
        throw new DOMException("none", "NotFoundError");
      return folder(`${at}${name}/`, name);
    },
    getFileHandle: async (name, options) => {
      const path = at + name;
      if (!disk.has(path) && !options?.create) throw new DOMException("none", "NotFoundError");
      return {
        getFile: async () => new File([disk.get(path) ?? ""], name),
        createWritable: async () => ({
          write: async (text) => void disk.set(path, new Blob([text])),
          close: async () => {},
        }),
      };
    },
  };
}
const image = (cameraMs: number) => new Blob([stampedJpeg(cameraMs) as Uint8Array<ArrayBuffer>]);

beforeEach(() => {
  disk = new Map();
});

describe("an archive", () => {
  test("has a folder for each rig, and merges with what was there", async () => {
    const before = (await archived(what([row("west", "DCIM/1.JPG")])))["west/DCIM/1.xmp"] ?? "";
    const theirs = before.replace(
      "</rdf:Description>",
      "<a:rating xmlns:a='urn:a'>5</a:rating></rdf:Description>",
    );
    const existing = async (rigId: string) => (rigId === "west" ? theirs : null);
    const rows = [
      row("west", "DCIM/1.JPG"),
      row("east", "DCIM/1.JPG"),
      row("east", "2.JPG", { utc: null, phase: null }),
    ];
    const made = await archived(what(rows, { existing }));
    expect(Object.keys(made).sort()).toEqual(["east/DCIM/1.xmp", "west/DCIM/1.xmp"]);
    expect(made["west/DCIM/1.xmp"]).toContain(">5</a:rating>");
  });

  test("is given up when it is stopped", async () => {
    expect(await sidecarArchive(what([row("west", "1.JPG")], { goesOn: () => false }))).toBeNull();
  });
});

async function archived(of: TakeAwayOf): Promise<Record<string, string>> {
  const made = await sidecarArchive(of);
  if (!made) throw new Error("stopped");
  const files = unzipSync(new Uint8Array(await made.blob.arrayBuffer()));
  return Object.fromEntries(Object.entries(files).map(([name, bytes]) => [name, strFromU8(bytes)]));
}

describe("a folder", () => {
  test("gets sidecars only beside images that are there and say the same time", async () => {
    disk.set("DCIM/1.JPG", image(TAKEN));
    // Of another camera, under a name that both have.
    disk.set("DCIM/2.JPG", image(TAKEN + 5000));
    const before = await disk.get("DCIM/1.JPG")?.text();
    const rows = [row("west", "DCIM/1.JPG"), row("west", "DCIM/2.JPG"), row("east", "OTHER/1.JPG")];
    expect(await writeSidecars(folder(), what(rows))).toEqual({ written: 1, failed: [] });
    expect([...disk.keys()].sort()).toEqual(["DCIM/1.JPG", "DCIM/1.xmp", "DCIM/2.JPG"]);
    expect(await disk.get("DCIM/1.JPG")?.text()).toBe(before);
    expect(await disk.get("DCIM/1.xmp")?.text()).toContain("<noonfall:phase>totality</noonfall:phase>");
  });

  test("may be the card itself or the one above it", async () => {
    disk.set("DCIM/1.JPG", image(TAKEN));
    disk.set("b/DCIM/1.JPG", image(TAKEN));
    const rows = [row("west", "a/DCIM/1.JPG"), row("west", "b/DCIM/1.JPG")];
    expect(await writeSidecars(folder("", "a"), what(rows))).toEqual({ written: 2, failed: [] });
    expect([...disk.keys()].filter((path) => path.endsWith(".xmp")).sort()).toEqual([
      "DCIM/1.xmp",
      "b/DCIM/1.xmp",
    ]);
  });

  test("keeps a sidecar that cannot be merged, and it is named", async () => {
    disk.set("1.JPG", image(TAKEN));
    disk.set("1.xmp", new Blob(["not XML"]));
    expect(await writeSidecars(folder(), what([row("west", "1.JPG")]))).toEqual({
      written: 0,
      failed: ["1.xmp"],
    });
    expect(await disk.get("1.xmp")?.text()).toBe("not XML");
  });
});

// papaparse, a reader of RFC 4180, reads what was written.
test("the table suggests names and holds no formula", () => {
  const text = imagesTable(
    [row("west", "=1+1.JPG"), row("east", "2.JPG", { utc: null, phase: null })],
    (id) => id,
  );
  const { data } = parse<Record<string, string>>(text, { header: true });
  expect(data[0]).toMatchObject({ file: "'=1+1.JPG", phase: "totality at 12.0 s", from_contact_s: "12" });
  expect(data[0]?.suggested_name).toBe("20270802T100220.350Z_C2+012.0s_west_=1+1.JPG");
  expect(data[1]).toMatchObject({ rig: "east", utc: "", suggested_name: "" });
});
