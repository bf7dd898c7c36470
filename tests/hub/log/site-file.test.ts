import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { LogError } from "../../../hub/log/event-log.ts";
import { migrations } from "../../../hub/log/schema.ts";
import { checkSiteFile, exportSite, stageRestore } from "../../../hub/log/site-file.ts";
import { openLog, siteFolder } from "../../../hub/log/site-folder.ts";
import { entryOf, eventNumber } from "../../contract/event-log-data.ts";

let data: string;
let file: string;
beforeEach(async () => {
  data = mkdtempSync(join(tmpdir(), "noonfall-site-"));
  file = join(data, "carried.noonfall");
  const log = openLog(join(data, "first"), "site");
  await log.append(entryOf("c1", [eventNumber(1), eventNumber(2, { runId: "practice" })]));
  log.setSetting("secret", "the site's secret");
  log.setSetting("local:sessions", ["a-session-token-that-must-stay"]);
  log.saveSnapshot(1, 2, { whole: true });
  await exportSite(log, file);
  await log.close();
});
afterEach(() => rmSync(data, { recursive: true, force: true }));

function errorOf(work: () => unknown): LogError {
  try {
    work();
  } catch (error) {
    if (error instanceof LogError) return error;
    throw error;
  }
  throw new Error("it went through");
}

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
      newestUtcMs: eventNumber(2).loggedUtcMs,
    });
  });

  it("carries the site's secret, so that rig links keep working, and no lead's session", () => {
    const bytes = readFileSync(file).toString("latin1");
    expect(bytes).toContain("the site's secret");
    expect(bytes).not.toContain("a-session-token-that-must-stay");
  });

  it("is whole although the hub writes on while it is made", async () => {
    const log = openLog(join(data, "busy"), "site");
    const many = Array.from({ length: 4000 }, (_, index) => eventNumber(index + 1));
    await log.append(entryOf("many", many));
    let seq = 4000;
    const exported = exportSite(log, file);
    for (let turn = 0; turn < 20; turn++) {
      seq++;
      await log.append(entryOf(`c${seq}`, [eventNumber(seq)]));
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
    await before.append(entryOf("mine", [eventNumber(1)]));
    const known = before.epoch;
    await before.close();

    expect(stageRestore(siteFolder(spare, "site"), file).lastSeq).toBe(2);
    const log = openLog(spare, "site", { nowIso: () => "2027-08-02T08:00:00.000Z" });
    expect(log.lastSeq()).toBe(2);
    expect(log.getSetting("secret")).toBe("the site's secret");
    expect(log.loadSnapshot(1)).toEqual({ seq: 2, state: { whole: true } });
    expect(log.epoch).not.toBe(known);
    expect(log.findCommand("rig:west", "c1")).toBeDefined();
    await log.append(entryOf("next", [eventNumber(3)]));
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

  it("can be cut off between laying ready and putting in place", async () => {
    const spare = siteFolder(join(data, "spare"), "site");
    mkdirSync(spare, { recursive: true });
    stageRestore(spare, file);
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
    stageRestore(spare, file);
    const log = openLog(join(data, "spare"), "site");
    expect(log.lastSeq()).toBe(2);
    await log.close();
    expect(readdirSync(spare).filter((name) => name.startsWith("before-restore"))).toHaveLength(1);
  });
});

describe("checkSiteFile", () => {
  const refused = (): LogError => errorOf(() => stageRestore(siteFolder(join(data, "first"), "site"), file));

  afterEach(() => {
    expect(existsSync(join(data, "first", "site", "incoming.db"))).toBe(false);
  });

  it("refuses what is not a database", () => {
    writeFileSync(file, '{"a": 1}');
    expect(refused()).toMatchObject({ code: "corrupt", message: expect.stringContaining("not the file of") });
    writeFileSync(file, "");
    expect(refused().code).toBe("corrupt");
    rmSync(file);
    expect(refused().code).toBe("unwritable");
  });

  it("refuses another program's database", () => {
    rmSync(file);
    change("CREATE TABLE birds (name TEXT)");
    expect(refused().message).toContain("not the file of a Noonfall site");
  });

  it("refuses a file that was cut short", () => {
    truncateSync(file, 12_288);
    expect(refused().code).toBe("corrupt");
  });

  it("refuses a file with garbage in its middle", () => {
    const bytes = readFileSync(file);
    bytes.fill(0xa5, 4096, 12_288);
    writeFileSync(file, bytes);
    expect(refused().code).toBe("corrupt");
  });

  it("refuses a file of a newer release", () => {
    change(`PRAGMA user_version = ${migrations.length + 1}`);
    expect(refused().code).toBe("newer");
  });

  it("refuses a file with a trigger, a view or a table that is not ours", () => {
    const good = `${file}.good`;
    copyFileSync(file, good);
    for (const extra of [
      "CREATE TRIGGER t AFTER INSERT ON events BEGIN DELETE FROM events; END",
      "CREATE VIEW v AS SELECT 1",
      "CREATE TABLE extra (a)",
      "DROP TABLE commands",
    ]) {
      copyFileSync(good, file);
      change(extra);
      expect(refused().code).toBe("corrupt");
    }
  });

  it("refuses a file with events missing or unreadable", () => {
    change("DELETE FROM events WHERE seq = 1");
    expect(refused().message).toContain("events are missing");
    change("UPDATE events SET seq = 1, payload = '{half'");
    expect(refused().message).toContain("cannot be read");
  });
});
