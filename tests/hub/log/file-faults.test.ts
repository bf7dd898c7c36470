/**
 * What becomes of a site whose file is deleted, emptied, replaced or damaged, seen from the door:
 * a hub as a process of its own, killed without warning after the fault.
 */
import {
  cpSync,
  existsSync,
  mkdtempSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
  truncateSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { HubProcess, planField } from "../../../scripts/campaign/support/hub-process.ts";
import { BUILT_HUB } from "../../support/built-hub.ts";
import { type Patience, until as untilHolds } from "../../support/until.ts";

/** A site that a hub ended cleanly with, and its backup, of which each test has a copy. */
let before: { data: string; stick: string };
let hub: HubProcess;
let stick: string;
const folder = (name: string) => mkdtempSync(join(tmpdir(), `noonfall-${name}-`));
const hubOn = (dataDir: string) => new HubProcess({ program: BUILT_HUB, args: ["--backup", stick], dataDir });

beforeAll(async () => {
  stick = folder("stick");
  hub = hubOn(folder("field"));
  before = { data: hub.dataDir, stick };
  // A hub makes its first copy at its start: that of the first start may be of a site without a plan.
  await hub.start();
  await planField(hub);
  for (let n = 0; n < 30; n++) await report();
  await hub.end();
  for (const name of backups()) rmSync(join(stick, name));
  await hub.start();
  await until("there is a backup", () => backups().length > 0);
  await hub.end();
});
afterAll(() => {
  for (const made of Object.values(before)) rmSync(made, { recursive: true, force: true });
});
beforeEach(() => {
  const dataDir = folder("field");
  cpSync(before.data, dataDir, { recursive: true });
  stick = folder("stick");
  cpSync(before.stick, stick, { recursive: true });
  hub = hubOn(dataDir);
});
afterEach(async () => {
  await hub.remove();
  rmSync(stick, { recursive: true, force: true });
});

const site = () => join(hub.siteDir, "site.db");
let made = 0;
async function report(): Promise<string> {
  const id = `report-${++made}`;
  const body = { id, atUtcMs: Date.now(), batteryPct: 50 };
  const { status } = await hub.call("POST", "/api/rigs/west/reports", body, await hub.rigToken("west"));
  expect(status).toBe(200);
  return id;
}
const logged = async (): Promise<string[]> =>
  (await hub.asLead("GET", "/api/log.json")).body.events.map((event: any) => event.commandId);
const alerts = async (): Promise<Record<string, string>> =>
  Object.fromEntries(
    (await hub.asLead("GET", "/api/run")).body.alerts.map((one: any) => [one.cause, one.priority]),
  );

const printed: Patience = { told: () => `the hub printed\n${hub.printed}` };
const until = (what: string, holds: () => boolean | Promise<boolean>) => untilHolds(what, holds, printed);
const backups = () => readdirSync(stick).filter((name) => name.endsWith(".site"));

describe("a file deleted under a running hub", () => {
  beforeEach(() => hub.start());

  it("is danger, and no report is lost that was acknowledged before or after", async () => {
    const ids = [await report(), await report()];
    for (const ending of ["", "-wal", "-shm"]) rmSync(site() + ending, { force: true });
    ids.push(await report());
    await until("that is danger", async () => (await alerts())["file-gone"] === "danger");
    ids.push(await report());
    expect(hub.printed).toContain("was deleted or replaced under the running hub; a new one was written");
    await hub.kill();
    await hub.start();
    expect(await logged()).toEqual(expect.arrayContaining(ids));
  });

  it("so also when the whole folder goes, and when another file is laid in its place, which is kept", async () => {
    const ids = [await report()];
    rmSync(hub.siteDir, { recursive: true, force: true });
    ids.push(await report());
    renameSync(site(), join(hub.siteDir, "moved-away.db"));
    writeFileSync(join(stick, "other"), "another file");
    renameSync(join(stick, "other"), site());
    ids.push(await report());
    await hub.kill();
    await hub.start();
    expect(await logged()).toEqual(expect.arrayContaining(ids));
    expect(readdirSync(hub.siteDir).filter((name) => /^found-.*\.db$/.test(name))).not.toEqual([]);
    expect(await hub.startAndEndAnother()).toContain("in use by another running hub");
  });
});

describe("a site whose file is of no use when the hub starts", () => {
  it.each([
    ["gone", () => rmSync(site()), "site.db is gone"],
    ["empty", () => truncateSync(site(), 0), "site.db is empty"],
    [
      "garbage",
      () => {
        const handle = openSync(site(), "r+");
        writeSync(handle, Buffer.alloc(8192, 0x5a), 0, 8192, 0);
      },
      "is not a database",
    ],
    [
      "of a later release",
      () => {
        const db = new Database(site());
        db.exec("UPDATE events SET v = 9 WHERE seq = 1; DELETE FROM snapshots");
        db.close();
      },
      "made by a newer program",
    ],
  ])("(%s) it says so and offers the copies there are", async (_what, spoil, sentence) => {
    spoil();
    expect(await hub.startAndEnd()).toBe(2);
    expect(hub.printed).toContain(sentence);
    expect(hub.printed).toContain("Copies there are:");
    expect(backups()).toContain(/--restore (\S+\.site)/.exec(hub.printed)?.[1]);
  });

  it("goes on with a copy by its name", async () => {
    rmSync(site());
    expect(await hub.startAndEnd(["--restore", "no-such-copy.site"])).toBe(2);
    expect(hub.printed).toContain("there is no copy no-such-copy.site");
    await hub.start(["--restore", backups()[0] ?? ""]);
    hub.forgetLead();
    expect((await hub.asLead("GET", "/api/plan")).body.rigs).toHaveLength(2);
  });

  it("begins anew only when told to", async () => {
    rmSync(site());
    expect(await hub.startAndEnd()).toBe(2);
    expect(hub.printed).toContain("--new-site");
    expect(existsSync(site())).toBe(false);
    await hub.start(["--new-site"]);
    hub.forgetLead();
    expect((await hub.asLead("GET", "/api/plan")).body.rigs).toEqual([]);
  });
});

describe("a saved state that is damaged", () => {
  it("is only a cache: the events are replayed", async () => {
    await hub.start();
    const id = await report();
    await hub.end();
    const db = new Database(site());
    db.exec(`UPDATE snapshots SET state = replace(state, '"batteryPct"', '"batteryPcx"')`);
    expect(db.prepare("SELECT COUNT(*) FROM snapshots").pluck().get()).toBe(1);
    db.close();
    await hub.start();
    const { rigs } = (await hub.asLead("GET", "/api/run")).body;
    expect(rigs.find((rig: any) => rig.id === "west").batteryPct).toBe(50);
    expect(await logged()).toContain(id);
    await hub.end();
    const torn = new Database(site());
    torn.exec("UPDATE snapshots SET state = '{half'");
    torn.close();
    await hub.start();
    expect(await logged()).toContain(id);
  });
});

describe("a place for backups", () => {
  it("that is not there is a caution, and never stops the hub", async () => {
    rmSync(stick, { recursive: true });
    await hub.start();
    await until("that is a caution", async () => (await alerts())["backup-missing"] === "caution");
    expect(hub.printed).toContain(`No backup could be written to ${stick}: the folder is not there`);
    await report();
  });
});

describe("damage inside the file", () => {
  it("is found soon after the start and told with the copies there are", async () => {
    const db = new Database(site(), { readonly: true });
    const page = Number(
      db.prepare("SELECT rootpage FROM sqlite_schema WHERE name = 'events_by_run'").pluck().get(),
    );
    db.close();
    const handle = openSync(site(), "r+");
    writeSync(handle, Buffer.alloc(64, 0), 0, 64, (page - 1) * 4096 + 4032);
    await hub.start();
    await until("that is danger", async () => (await alerts())["file-damaged"] === "danger");
    expect(hub.printed).toMatch(/is damaged: [^\n]+\nCopies there are:/);
  });
});
