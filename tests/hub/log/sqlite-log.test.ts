import { type ChildProcess, spawn } from "node:child_process";
import { chmodSync, existsSync, mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { LogError } from "../../../hub/log/event-log.ts";
import { migrations } from "../../../hub/log/schema.ts";
import { openLog } from "../../../hub/log/site-folder.ts";
import { SqliteLog } from "../../../hub/log/sqlite-log.ts";
import { entryOf, eventNumber } from "../../contract/event-log-data.ts";

let data: string;
beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), "noonfall-log-"));
});
afterEach(() => rmSync(data, { recursive: true, force: true }));

const siteFile = (): string => join(data, "site", "site.db");

function errorOf(work: () => unknown): LogError {
  try {
    work();
  } catch (error) {
    if (error instanceof LogError) return error;
    throw error;
  }
  throw new Error("it went through");
}

describe("the SQLite log", () => {
  it("goes on where it stopped, with the same epoch", async () => {
    const first = openLog(data, "site");
    await first.append(entryOf("c1", [eventNumber(1)]));
    first.setSetting("secret", "s");
    first.addClockSamples([{ utcMs: 1, deviceId: "d", offsetMs: 0, boundMs: 1, delayMs: 1 }]);
    await first.close();
    const second = openLog(data, "site");
    expect(second.epoch).toBe(first.epoch);
    expect(second.lastSeq()).toBe(1);
    expect([...second.read()]).toEqual([eventNumber(1)]);
    expect(second.getSetting("secret")).toBe("s");
    expect(second.readClockSamples(0)).toHaveLength(1);
    await second.close();
  });

  it("keeps the demo's site beside the real one", async () => {
    const site = openLog(data, "site");
    const demo = openLog(data, "demo");
    await demo.append(entryOf("c1", [eventNumber(1)]));
    expect(site.lastSeq()).toBe(0);
    expect(site.epoch).not.toBe(demo.epoch);
    await Promise.all([site.close(), demo.close()]);
  });

  // sqlite.org/pragma.html, synchronous: FULL is 2, and in WAL mode it syncs after every commit.
  it("syncs every commit to the disk", async () => {
    const log = openLog(data, "site");
    expect(log.durability()).toEqual({ journalMode: "wal", synchronous: 2 });
    await log.close();
  });

  it("is for one hub at a time: a second one is told so", async () => {
    const log = openLog(data, "site");
    const error = errorOf(() => openLog(data, "site"));
    expect(error.code).toBe("locked");
    expect(error.message).toContain("in use by another running hub");
    await log.close();
    await openLog(data, "site").close();
  });

  it("says that a folder cannot be written", () => {
    writeFileSync(join(data, "taken"), "a file where the folder should be");
    expect(errorOf(() => openLog(join(data, "taken"), "site")).code).toBe("unwritable");
    // A place where nothing can be made, and where a recursive mkdir of Node 20 never returns.
    if (process.platform === "linux") {
      expect(errorOf(() => openLog("/proc/noonfall", "site")).code).toBe("unwritable");
    }
  });

  it("says at once that a file may only be read, not at the first report", async () => {
    const log = openLog(data, "site");
    const { epoch } = log;
    await log.close();
    // As SQLite opens a file of another user, of itself; root could write such a file all the same.
    const open = (file: string) => new Database(file, { readonly: true });
    const error = errorOf(() => new SqliteLog(siteFile(), { open }));
    expect(error.code).toBe("unwritable");
    expect(error.message).toContain(`${siteFile()} may not be written`);
    const again = openLog(data, "site");
    expect(again.epoch).toBe(epoch);
    await again.close();
  });

  it("says so of a file of another user in a folder that may be written", async () => {
    await openLog(data, "site").close();
    rmSync(join(data, "site", "lock.db"));
    chmodSync(data, 0o777);
    chmodSync(join(data, "site"), 0o777);
    // Root writes whatever it likes, so it becomes somebody else for the opening ("nobody").
    const isRoot = process.geteuid?.() === 0;
    chmodSync(siteFile(), isRoot ? 0o644 : 0o444);
    let error: LogError;
    try {
      if (isRoot) process.seteuid?.(65_534);
      expect(() => writeFileSync(siteFile(), "")).toThrow(/EACCES|EPERM/);
      error = errorOf(() => openLog(data, "site"));
    } finally {
      if (isRoot) process.seteuid?.(0);
    }
    expect(error.code).toBe("unwritable");
    expect(error.message).toMatch(/^[^\n]*site\.db may not be written[^\n]*$/);
    // Nothing is left that would be in the way when the file has been mended.
    expect(readdirSync(join(data, "site")).sort()).toEqual(["known.json", "lock.db", "site.db"]);
    chmodSync(siteFile(), 0o600);
    await openLog(data, "site").close();
  });

  it("says that a file is damaged or not a database, and leaves it as it is", async () => {
    await openLog(data, "site").close();
    writeFileSync(siteFile(), "x".repeat(8192));
    expect(errorOf(() => openLog(data, "site")).code).toBe("corrupt");
    expect(statSync(siteFile()).size).toBe(8192);
  });

  it("does not touch another program's database", async () => {
    await openLog(data, "site").close();
    rmSync(siteFile());
    const other = new Database(siteFile());
    other.exec("CREATE TABLE birds (name TEXT)");
    other.close();
    expect(errorOf(() => openLog(data, "site")).code).toBe("corrupt");
  });

  it("does not open what a newer release wrote", async () => {
    await openLog(data, "site").close();
    const db = new Database(siteFile());
    db.pragma(`user_version = ${migrations.length + 1}`);
    db.close();
    const error = errorOf(() => openLog(data, "site"));
    expect(error.code).toBe("newer");
    // The lock was let go of, too: the next opening fails for the same reason, not for the lock.
    expect(errorOf(() => openLog(data, "site")).code).toBe("newer");
  });

  it("copies the file aside before it migrates, and makes no copy of a new file", async () => {
    const log = openLog(data, "site");
    await log.append(entryOf("c1", [eventNumber(1)]));
    await log.close();
    expect(readdirSync(join(data, "site")).filter((name) => name.startsWith("before"))).toEqual([]);

    const next = [...migrations, (db: Database.Database) => db.exec("CREATE TABLE extra (a TEXT)")];
    const options = { migrations: next, nowIso: () => "2027-08-02T09:00:00.000Z" };
    const migrated = openLog(data, "site", options);
    expect(migrated.lastSeq()).toBe(1);
    await migrated.close();
    const backup = join(data, "site", `before-v${next.length}-2027-08-02T09-00-00-000Z.db`);
    const old = new Database(backup, { readonly: true });
    expect(old.pragma("user_version", { simple: true })).toBe(migrations.length);
    expect(old.prepare("SELECT COUNT(*) FROM events").pluck().get()).toBe(1);
    old.close();
    await openLog(data, "site", options).close();
  });

  it("undoes a migration that fails half way", async () => {
    const log = openLog(data, "site");
    await log.append(entryOf("c1", [eventNumber(1)]));
    await log.close();
    const broken = [
      ...migrations,
      (db: Database.Database) => {
        db.exec("DROP TABLE events");
        throw new Error("power cut");
      },
    ];
    expect(() => openLog(data, "site", { migrations: broken })).toThrow("power cut");
    const again = openLog(data, "site");
    expect(again.lastSeq()).toBe(1);
    await again.close();
  });

  it("keeps nothing of a write that fails, says so, and recovers", async () => {
    const log = openLog(data, "site");
    await log.append(entryOf("c1", [eventNumber(1)]));
    // A trigger stands in for a disk that fails.
    const other = new Database(siteFile());
    other.exec("CREATE TRIGGER full BEFORE INSERT ON events BEGIN SELECT RAISE(ABORT, 'full'); END");
    const failed = await log.append(entryOf("c2", [eventNumber(2)])).catch((error: unknown) => error);
    expect(failed).toBeInstanceOf(LogError);
    expect((failed as LogError).code).toBe("write-failed");
    other.exec("DROP TRIGGER full");
    other.close();
    expect(log.lastSeq()).toBe(1);
    expect(log.findCommand("rig:west", "c2")).toBeUndefined();
    await log.append(entryOf("c2", [eventNumber(2)]));
    await log.close();
  });
});

describe("the SQLite log, killed", () => {
  const script = fileURLToPath(new URL("./append-until-killed.ts", import.meta.url));

  async function appendUntilKilled(afterMs: number): Promise<number> {
    const child: ChildProcess = spawn(process.execPath, ["--import", "tsx", script, data], {
      stdio: ["ignore", "pipe", "inherit"],
    });
    let output = "";
    child.stdout?.on("data", (chunk: Buffer) => {
      output += chunk.toString();
    });
    child.stdout?.once("data", () => setTimeout(() => child.kill("SIGKILL"), afterMs));
    await new Promise((resolve) => child.on("close", resolve));
    expect(child.signalCode).toBe("SIGKILL");
    const complete = output.slice(0, output.lastIndexOf("\n"));
    return Math.max(0, ...complete.split("\n").map(Number));
  }

  it("has lost nothing that it acknowledged, has no half command, and can be opened at once", async () => {
    for (const afterMs of [3, 41, 97, 160]) {
      const acknowledged = await appendUntilKilled(afterMs);
      const log = openLog(data, "site");
      expect(acknowledged).toBeGreaterThan(0);
      expect(log.lastSeq()).toBeGreaterThanOrEqual(acknowledged);
      let expected = 0;
      for (const event of log.read()) {
        expected++;
        expect(event).toEqual(eventNumber(expected));
        expect(log.findCommand("rig:west", `c${expected}`)).toBeDefined();
      }
      expect(expected).toBe(log.lastSeq());
      expect(log.findCommand("rig:west", `c${expected + 1}`)).toBeUndefined();
      expect(existsSync(siteFile())).toBe(true);
      await log.close();
    }
  });
});
