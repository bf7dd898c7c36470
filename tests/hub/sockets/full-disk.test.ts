/**
 * A disk that is full, through the front door. SQLite's own limit on a file's pages stands in for
 * the disk (sqlite.org/pragma.html, max_page_count): writes fail with SQLITE_FULL as they do there,
 * and it needs neither a mount nor any right.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { DiskWatch } from "../../../hub/log/disk-watch.ts";
import { HubHealth } from "../../../hub/log/hub-health.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { SqliteLog } from "../../../hub/log/sqlite-log.ts";
import { letIn, plainSocket } from "../../../hub/people/plain-socket.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";

let folder: string;
let db: Database.Database;
let hub: TestHub;
let token: string;
let rigToken: string;

const fill = () => {
  const pages = db.pragma("page_count", { simple: true });
  db.pragma(`max_page_count = ${pages}`);
};
const free = () => void db.pragma("max_page_count = 1000000");
const open = (file: string) => {
  db = new Database(file);
  return db;
};

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-full-"));
  hub = await startTestHub(new SqliteLog(join(folder, "site.db"), { open }));
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", { ...LUXOR_PLAN, revision: 0 }, token);
  rigToken = (await hub.call("GET", "/api/rigs/west/link", undefined, token)).body.token;
});
afterEach(async () => {
  await hub.stop();
  rmSync(folder, { recursive: true, force: true });
});

// A message as long as a report may be, so that some page is needed soon.
const report = (id: string) => {
  const checks = Object.fromEntries(Array.from({ length: 40 }, (_, n) => [`check-${n}`, true]));
  return hub.call("POST", "/api/rigs/west/reports", { id, atUtcMs: Date.now(), checks }, rigToken);
};
const alerts = async (): Promise<{ cause: string; priority: string }[]> =>
  (await hub.call("GET", "/api/run", undefined, token)).body.alerts;
const causes = async () => (await alerts()).map(({ cause }) => cause);

/** Reports until one is not taken. */
async function fillUp(): Promise<string> {
  fill();
  for (let n = 0; n < 200; n++) {
    const id = `fill-${n}`;
    const { status, body } = await report(id);
    if (status === 200) continue;
    expect({ status, body }).toMatchObject({ status: 500, body: { error: { code: "internal" } } });
    expect(body.error.message).toContain("disk is full");
    return id;
  }
  throw new Error("the disk did not fill");
}

describe("a full disk", () => {
  it("is danger for the lead, and over when there is room; the report that waited is taken once", async () => {
    const waiting = await fillUp();
    await until("the alert stands", async () => (await causes()).includes("disk-full"));
    expect(await alerts()).toContainEqual(
      expect.objectContaining({ cause: "disk-full", priority: "danger" }),
    );
    free();
    expect((await report(waiting)).status).toBe(200);
    await until("the alert is over", async () => !(await causes()).includes("disk-full"));
    const { events } = (await hub.call("GET", "/api/log.json", undefined, token)).body;
    expect(events.filter((event: any) => event.commandId.includes(waiting))).toHaveLength(1);
    expect(hub.errors).toHaveLength(1);
  });

  it("is over by itself, though nobody reports any more", async () => {
    await fillUp();
    await until("the alert stands", async () => (await causes()).includes("disk-full"));
    free();
    await until("the alert is over", async () => !(await causes()).includes("disk-full"));
  });

  it("leaves “Cover every lens” as it is: at once, on every page, until it is released (S7)", async () => {
    const board = plainSocket(hub.url, { protocol: PROTOCOL, role: "board" });
    const covered = new Promise((resolve) => board.once("cover", resolve));
    await letIn(board);
    await fillUp();
    await hub.call("POST", "/api/orders", { id: "cover", order: { type: "cover" } }, token);
    await covered;
    board.disconnect();
    expect(await causes()).toContain("cover-latched");
    free();
    await until(
      "the cover is written and the alert over",
      async () => hub.parts.keeper.state.cover !== null && !(await causes()).includes("disk-full"),
    );
  });

  it("lets a lead in, whose session is kept when there is room", async () => {
    await fillUp();
    const another = await hub.signIn();
    expect((await hub.call("GET", "/api/run", undefined, another)).status).toBe(200);
    free();
    await until("the alert is over", async () => !(await causes()).includes("disk-full"));
    const kept = db.prepare("SELECT value FROM settings WHERE key = 'local:leadSessions'").pluck().get();
    expect(JSON.parse(String(kept))).toHaveLength(2);
  });

  it("does not keep the hub from ending, and nothing that was acknowledged is lacking then", async () => {
    await fillUp();
    const last = hub.parts.keeper.state.seq;
    await hub.close();
    const after = new Database(join(folder, "site.db"), { readonly: true });
    expect(after.prepare("SELECT MAX(seq) FROM events").pluck().get()).toBe(last);
    after.close();
  });
});

describe("a disk that is nearly full", () => {
  it("is a caution while there is time", async () => {
    const health = new HubHealth(new MemoryLog(), () => undefined);
    let bytes = 10e9;
    const watch = new DiskWatch(folder, health, async () => bytes);
    const standing = async (): Promise<string[]> => {
      await watch.look();
      return health.standing().map(({ cause, priority }) => `${cause} ${priority}`);
    };
    expect(await standing()).toEqual([]);
    bytes = 150e6;
    expect(await standing()).toEqual(["disk-low caution"]);
    bytes = 220e6;
    expect(await standing()).toEqual(["disk-low caution"]);
    bytes = 300e6;
    expect(await standing()).toEqual([]);
  });
});
