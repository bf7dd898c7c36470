/** Thumbnails kept with the site: off until asked for, bounded, carried with its file, deleted at a word. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { copySite, prepareSite } from "../../../hub/log/site-prepare.ts";
import { SqliteLog } from "../../../hub/log/sqlite-log.ts";
import { KeptThumbnails, THUMBNAILS_MOST_BYTES } from "../../../hub/site/kept-thumbnails.ts";
import { greyJpeg } from "../../support/image-files.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

const folder = mkdtempSync(join(tmpdir(), "noonfall-thumbnails-"));
const FILE = join(folder, "site.db");
const picture = (level: number) => Buffer.from(greyJpeg(96, 64, level)).toString("base64");

let hub: TestHub;
let token: string;
let runId: string;

beforeAll(async () => {
  hub = await startTestHub(new SqliteLog(FILE));
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token);
  runId = (await hub.call("GET", "/api/run", undefined, token)).body.runId;
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
  rmSync(folder, { recursive: true, force: true });
});

const kept = async () => (await hub.call("GET", "/api/thumbnails", undefined, token)).body;
const keep = (thumbnails: { file: string; jpeg: string }[], rigId = "west") =>
  hub.call("POST", "/api/thumbnails", { rigId, thumbnails }, token);

describe("thumbnails", () => {
  it("are a lead's, and none is kept until somebody asks", async () => {
    for (const method of ["GET", "POST", "DELETE"])
      expect((await hub.call(method, "/api/thumbnails", method === "POST" ? {} : undefined)).status).toBe(
        401,
      );
    expect(await kept()).toEqual({ runId, bytes: 0, mostBytes: THUMBNAILS_MOST_BYTES, kept: [] });
  });

  it("are given back as they were sent; a second of the same file takes the first's place", async () => {
    const files = Array.from({ length: 50 }, (_, i) => ({ file: `card/${i}.JPG`, jpeg: picture(i) }));
    expect(await keep(files)).toMatchObject({ status: 201, body: { left: 0 } });
    await keep([{ file: "__proto__", jpeg: picture(1) }]);
    const before = (await kept()).bytes;
    await keep([{ file: "card/7.JPG", jpeg: picture(200) }]);
    const now = await kept();
    expect(now.kept).toHaveLength(51);
    expect(now.bytes).toBe(before - picture(7).length + picture(200).length);
    const got = await fetch(`${hub.url}/api/thumbnails/picture?rig=west&file=card/7.JPG`, {
      headers: { Authorization: `Bearer ${token}` },
    });
    expect(got.headers.get("content-type")).toBe("image/jpeg");
    expect(Buffer.from(await got.arrayBuffer()).toString("base64")).toBe(picture(200));
    const none = await hub.call("GET", "/api/thumbnails/picture?rig=west&file=x.JPG", undefined, token);
    expect(none).toMatchObject({ status: 404, body: { error: { field: "file" } } });
    // They are in no log.
    const { events } = (await hub.call("GET", "/api/log.json", undefined, token)).body;
    expect(JSON.stringify(events)).not.toContain("/9j/");
  });

  it("are refused by the field that is wrong", async () => {
    const field = async (thumbnails: unknown, rigId = "west") =>
      (await hub.call("POST", "/api/thumbnails", { rigId, thumbnails }, token)).body.error.field;
    expect(await field([], "east")).toBe("rigId");
    expect(await field([{ file: "a.JPG", jpeg: "PHN2Zz4=" }])).toBe("thumbnails.0.jpeg");
    expect(await field([{ file: "a.JPG", jpeg: `/9j/${"A".repeat(12_000)}` }])).toBe("thumbnails.0.jpeg");
    expect(await field(Array(51).fill({ file: "a.JPG", jpeg: picture(1) }))).toBe("thumbnails");
  });

  it("go with the site's file to another laptop", async () => {
    const copy = join(folder, "copy.db");
    await copySite(FILE, copy);
    await prepareSite(copy);
    const there = new SqliteLog(copy);
    const thumbnails = new KeptThumbnails(there);
    expect(thumbnails.entries()).toHaveLength(51);
    expect(thumbnails.picture(runId, "west", "card/7.JPG")).toBe(picture(200));
    await there.close();
  });

  it("are deleted at a word, and leave the log as it was", async () => {
    const { body } = await hub.call("DELETE", "/api/thumbnails", undefined, token);
    expect(body).toEqual({ bytes: 0, mostBytes: THUMBNAILS_MOST_BYTES });
    expect((await kept()).kept).toEqual([]);
    expect((await keep([{ file: "again.JPG", jpeg: picture(3) }])).body.bytes).toBe(picture(3).length);
  });
});

it("find no room any more at their bound, and what is there stays", () => {
  const settings = new Map<string, string>();
  const kept = new KeptThumbnails({
    getSetting: (key) => JSON.parse(settings.get(key) ?? "null"),
    setSetting: (key, value) => void settings.set(key, JSON.stringify(value)),
  });
  const large = "A".repeat(12_000);
  const most = Math.floor(THUMBNAILS_MOST_BYTES / large.length);
  for (let n = 0; n < most; n += 50) {
    const some = Array.from({ length: Math.min(50, most - n) }, (_, i) => ({
      file: `${n + i}`,
      jpeg: large,
    }));
    expect(kept.keep("real", "west", some)).toEqual({ left: 0 });
  }
  expect(kept.keep("real", "south", [{ file: "x", jpeg: large }])).toEqual({ left: 1 });
  expect(kept.keep("real", "west", [{ file: "0", jpeg: large }])).toEqual({ left: 0 });
  expect(kept.bytes()).toBeLessThanOrEqual(THUMBNAILS_MOST_BYTES);
  expect(kept.picture("real", "west", `${most - 1}`)).toBe(large);
  // No cell of the file grows beyond what a restored one may have.
  for (const value of settings.values()) expect(value.length).toBeLessThan(2_000_000);
});
