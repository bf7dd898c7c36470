/** Backups on a stick that is pulled out and put in again. */
import { mkdirSync, mkdtempSync, readdirSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { Backups } from "../../../hub/log/backups.ts";
import { HubHealth } from "../../../hub/log/hub-health.ts";
import { checkSiteFile } from "../../../hub/log/site-check.ts";
import { openLog } from "../../../hub/log/site-folder.ts";
import type { SqliteLog } from "../../../hub/log/sqlite-log.ts";
import { entryOf, eventNumber } from "../../contract/event-log-data.ts";

let folder: string;
let dir: string;
let log: SqliteLog;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-backups-"));
  dir = join(folder, "stick");
  mkdirSync(dir);
  log = openLog(join(folder, "data"), "site");
});
afterEach(async () => {
  await log.close();
  rmSync(folder, { recursive: true, force: true });
});

describe("a stick for backups", () => {
  it("that goes away is a caution until it is back, told once; then what was logged meanwhile is on it", async () => {
    const told: string[] = [];
    const health = new HubHealth(log, (error) => told.push((error as Error).message));
    let second = 0;
    const nowIso = () => `2027-08-02T08:00:0${second++}.000Z`;
    const backups = new Backups({ dir, siteName: "site", log, health, nowIso });
    const seqs = () =>
      readdirSync(dir)
        .sort()
        .map((name) => checkSiteFile(join(dir, name), false).lastSeq);

    await log.append(entryOf("c1", [eventNumber(1)]));
    await backups.run();
    expect(health.standing()).toEqual([]);
    expect(seqs()).toEqual([1]);

    renameSync(dir, join(folder, "in a pocket"));
    await log.append(entryOf("c2", [eventNumber(2)]));
    for (let n = 0; n < 2; n++) await backups.run();
    expect(health.standing()).toMatchObject([{ cause: "backup-missing", priority: "caution" }]);
    expect(told).toEqual([`No backup could be written to ${dir}: the folder is not there`]);
    // Nothing is made in its place: that would be a backup on the disk that it is to guard against.
    expect(readdirSync(folder).sort()).toEqual(["data", "in a pocket"]);

    renameSync(join(folder, "in a pocket"), dir);
    // What a copy that was cut off by pulling it out has left.
    writeFileSync(join(dir, "noonfall-site-2027-08-02T07-59-00-000Z.site.partial"), "half a site");
    await backups.run();
    expect(health.standing()).toEqual([]);
    expect(seqs()).toEqual([1, 2]);
    backups.stop();
    health.close();
  });
});
