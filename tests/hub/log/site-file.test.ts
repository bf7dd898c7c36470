import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { LogError } from "../../../hub/log/event-log.ts";
import { migrations } from "../../../hub/log/schema.ts";
import { checkSiteFile } from "../../../hub/log/site-check.ts";
import { exportSite, stageRestore } from "../../../hub/log/site-file.ts";
import { openLog, siteFolder, takeBackRestore } from "../../../hub/log/site-folder.ts";
import type { LoggedEvent } from "../../../shared/run/logged-event.ts";
import { EVOLVE_VERSION } from "../../../shared/run/state.ts";
import { entryOf, eventNumber } from "../../contract/event-log-data.ts";

/** An event that a hub would take in. */
const noted = (seq: number, change: Partial<LoggedEvent> = {}) =>
  eventNumber(seq, { type: "clockNoted", payload: { note: "mark", detail: { n: seq } }, ...change });

let made: string;
let data: string;
let file: string;
beforeAll(async () => {
  made = mkdtempSync(join(tmpdir(), "noonfall-site-"));
  const log = openLog(join(made, "first"), "site");
  await log.append(entryOf("c1", [noted(1), noted(2, { runId: "practice" })]));
  log.setSetting("secret", "the site's secret");
  log.setSetting("local:sessions", ["a-session-token-that-must-stay"]);
  log.saveSnapshot(1, 2, { whole: true });
  await exportSite(log, join(made, "carried.noonfall"));
  await log.close();
});
afterAll(() => rmSync(made, { recursive: true, force: true }));
beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), "noonfall-site-"));
  cpSync(made, data, { recursive: true });
  file = join(data, "carried.noonfall");
});
afterEach(() => rmSync(data, { recursive: true, force: true }));

function change(statement: string): void {
  const db = new Database(file);
  db.exec(statement);
  db.close();
}

describe("a site as one file", () => {
  it("is one file that stands alone and passes its own check", () => {
    expect(readdirSync(data).sort()).toEqual(["carried.noonfall", "first"]);
    expect(checkSiteFile(file)).toEqual({
      version: migrations.length,
      lastSeq: 2,
      runs: 2,
      newestUtcMs: noted(2).loggedUtcMs,
    });
  });

  it("carries the site's secret, so that rig links keep working, and no lead's session", () => {
    const bytes = readFileSync(file).toString("latin1");
    expect(bytes).toContain("the site's secret");
    expect(bytes).not.toContain("a-session-token-that-must-stay");
  });

  it("is whole although the hub writes on while it is made", async () => {
    const log = openLog(join(data, "busy"), "site");
    const many = Array.from({ length: 4000 }, (_, index) => noted(index + 1));
    await log.append(entryOf("many", many));
    let seq = 4000;
    const exported = exportSite(log, file);
    for (let turn = 0; turn < 20; turn++) {
      seq++;
      await log.append(entryOf(`c${seq}`, [noted(seq)]));
    }
    await exported;
    const { lastSeq } = checkSiteFile(file);
    expect(lastSeq).toBeGreaterThanOrEqual(4000);
    expect(lastSeq).toBeLessThanOrEqual(seq);
    expect(log.lastSeq()).toBe(seq);
    await log.close();
  });

  it("goes on on another machine, under a new epoch, and keeps what was there", async () => {
    const spare = join(data, "spare");
    const before = openLog(spare, "site");
    await before.append(entryOf("mine", [noted(1)]));
    const known = before.epoch;
    await before.close();

    expect((await stageRestore(siteFolder(spare, "site"), file)).lastSeq).toBe(2);
    const log = openLog(spare, "site", { nowIso: () => "2027-08-02T08:00:00.000Z" });
    expect(log.lastSeq()).toBe(2);
    expect(log.getSetting("secret")).toBe("the site's secret");
    // What was saved elsewhere is not trusted; the state was made anew from the events.
    expect(log.loadSnapshot(1)).toBeUndefined();
    expect(log.loadSnapshot(EVOLVE_VERSION)).toMatchObject({ seq: 2, state: { seq: 2 } });
    expect(log.epoch).not.toBe(known);
    expect(log.findCommand("rig:west", "c1")).toBeDefined();
    await log.append(entryOf("next", [noted(3)]));
    await log.close();

    const backup = join(spare, "site", "before-restore-2027-08-02T08-00-00-000Z.db");
    const old = new Database(backup, { readonly: true });
    expect(old.prepare("SELECT command_id FROM events").pluck().all()).toEqual(["c1"]);
    expect(old.prepare("SELECT command_id FROM commands").pluck().all()).toEqual(["mine"]);
    old.close();
    const again = openLog(spare, "site");
    expect(again.lastSeq()).toBe(3);
    await again.close();
  });

  it("keeps the PIN it was made with, and leaves out what could never be one", async () => {
    const salt = "c2FsdA";
    const pins = {
      whole: { salt, hash: Buffer.alloc(32).toString("base64url") },
      short: { salt, hash: "aGFzaA" },
    };
    const left: Record<string, unknown> = {};
    for (const [name, pin] of Object.entries(pins)) {
      const folder = join(data, name);
      change(
        `INSERT INTO settings (key, value) VALUES ('leadPin', '${JSON.stringify(pin)}')
           ON CONFLICT DO UPDATE SET value = excluded.value`,
      );
      await openLog(folder, "site").close();
      await stageRestore(siteFolder(folder, "site"), file);
      const log = openLog(folder, "site");
      left[name] = log.getSetting("leadPin");
      await log.close();
    }
    expect(left).toEqual({ whole: pins.whole, short: undefined });
  });

  it("can be cut off between laying ready and putting in place", async () => {
    const spare = siteFolder(join(data, "spare"), "site");
    mkdirSync(spare, { recursive: true });
    await stageRestore(spare, file);
    // As after a kill between the two renames: the old file has been moved away already.
    expect(existsSync(join(spare, "site.db"))).toBe(false);
    const log = openLog(join(data, "spare"), "site");
    expect(log.lastSeq()).toBe(2);
    await log.close();
    expect(readdirSync(spare).filter((name) => name.startsWith("incoming"))).toEqual([]);
  });

  it("takes over from a damaged site, which is kept", async () => {
    const spare = siteFolder(join(data, "spare"), "site");
    mkdirSync(spare, { recursive: true });
    writeFileSync(join(spare, "site.db"), "nothing that opens".repeat(500));
    await stageRestore(spare, file);
    const log = openLog(join(data, "spare"), "site");
    expect(log.lastSeq()).toBe(2);
    await log.close();
    expect(readdirSync(spare).filter((name) => name.startsWith("before-restore"))).toHaveLength(1);
  });
});

describe("a file that no hub may go on with", () => {
  const refused = (): Promise<LogError> =>
    stageRestore(siteFolder(join(data, "first"), "site"), file).then(
      () => {
        throw new Error("it went through");
      },
      (error: LogError) => error,
    );

  afterEach(() => {
    const left = readdirSync(join(data, "first", "site"));
    expect(left.filter((name) => /incoming|partial/.test(name))).toEqual([]);
  });

  it("is told as what it is, with its own name", async () => {
    writeFileSync(file, '{"a": 1}');
    expect(await refused()).toMatchObject({
      code: "corrupt",
      message: `${file} is not the file of a Noonfall site.`,
    });
    rmSync(file);
    expect(await refused()).toMatchObject({
      code: "unwritable",
      message: expect.stringContaining("cannot be read"),
    });
  });

  it("may be of a newer release", async () => {
    change(`PRAGMA user_version = ${migrations.length + 1}`);
    expect((await refused()).code).toBe("newer");
  });

  it("may hold an event that this release does not know", async () => {
    change("UPDATE events SET type = 'weatherReported' WHERE seq = 2");
    expect(await refused()).toMatchObject({
      code: "newer",
      message: expect.stringContaining("event 2 is a weatherReported"),
    });
  });

  it("leaves the file itself as it was", async () => {
    change("CREATE VIEW v AS SELECT 1");
    const before = readFileSync(file);
    expect((await refused()).message).toContain('it holds a view "v", which a site does not');
    expect(readFileSync(file).equals(before)).toBe(true);
  });
});

describe("a restored site that turns out to be of no use", () => {
  const spare = (): string => siteFolder(join(data, "spare"), "site");
  const filesIn = (prefix: string): string[] =>
    readdirSync(spare()).filter((name) => name.startsWith(prefix));

  it("is put aside at the opening, and the one before goes on", async () => {
    const before = openLog(join(data, "spare"), "site");
    await before.append(entryOf("mine", [noted(1)]));
    await before.close();
    writeFileSync(join(spare(), "incoming.db"), "spoiled since it was checked");
    const notes: string[] = [];
    const log = openLog(join(data, "spare"), "site", { onNote: (note) => notes.push(note) });
    expect(log.findCommand("rig:west", "mine")).toBeDefined();
    await log.close();
    expect(notes).toEqual([expect.stringContaining("is not the file of a Noonfall site")]);
    expect(filesIn("refused-")).toHaveLength(1);
  });

  it("can be taken back after it was put in place", async () => {
    const before = openLog(join(data, "spare"), "site");
    await before.append(entryOf("mine", [noted(1)]));
    await before.close();
    await stageRestore(spare(), file);
    await openLog(join(data, "spare"), "site").close();
    expect(takeBackRestore(join(data, "spare"), "site")).toContain("refused-");
    const again = openLog(join(data, "spare"), "site");
    expect(again.findCommand("rig:west", "mine")).toBeDefined();
    await again.close();
    expect(takeBackRestore(join(data, "spare"), "site")).toBeUndefined();
  });
});

describe("copies that were not finished", () => {
  it("are gone after the next opening", async () => {
    const folder = siteFolder(join(data, "first"), "site");
    for (const name of ["incoming-1.partial", "outgoing-2.partial", "outgoing-2.partial-wal"])
      writeFileSync(join(folder, name), "half a site, its secret in it");
    await openLog(join(data, "first"), "site").close();
    expect(readdirSync(folder).filter((name) => name.includes("partial"))).toEqual([]);
  });
});
