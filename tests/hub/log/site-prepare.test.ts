/** A foreign file that is of an older version of the tables, brought to today's before it is a site. */
import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Migration, migrations } from "../../../hub/log/schema.ts";
import { openLog, siteFolder } from "../../../hub/log/site-folder.ts";
import { prepareSite } from "../../../hub/log/site-prepare.ts";
import { SqliteLog } from "../../../hub/log/sqlite-log.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { fold } from "../../../shared/run/evolve.ts";
import { EMPTY_STATE, EVOLVE_VERSION, type SiteState } from "../../../shared/run/state.ts";
import { entryOf, eventNumber } from "../../contract/event-log-data.ts";
import { asJson, linkedTo, SiteWorld } from "../../shared/run/site-world.ts";

let folder: string;
let file: string;
const older = () => `${file}-older.partial`;
/** The steps that a later release would have. */
const steps = migrations as Migration[];
const today = steps.length;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-prepare-"));
  file = join(folder, "incoming-1.partial");
  const log = new SqliteLog(file);
  await log.append(
    entryOf("c1", [eventNumber(1, { type: "clockNoted", payload: { note: "mark", detail: {} } })]),
  );
  await log.close();
});
afterEach(() => {
  steps.splice(today);
  rmSync(folder, { recursive: true, force: true });
});

describe("S9, S10: a site that goes on from a copy", () => {
  const NOW = Date.UTC(2027, 6, 25, 10);
  const copied = async (say: (world: SiteWorld) => void): Promise<SiteState> => {
    const world = SiteWorld.planned();
    say(world);
    const copy = join(folder, `${world.log.length}.db`);
    const log = new SqliteLog(copy);
    await log.append(entryOf("all", world.log));
    await log.close();
    await prepareSite(copy);
    const opened = new SqliteLog(copy);
    const state = fold(EMPTY_STATE, opened.read() as Iterable<SiteEvent>);
    expect(opened.loadSnapshot(EVOLVE_VERSION)?.state).toEqual(asJson(state));
    await opened.close();
    return state;
  };
  const filterIn = (state: SiteState, rigId: string) => {
    const world = new SiteWorld();
    world.state = state;
    return world.rig(rigId, NOW + 60_000, linkedTo("west", "eye")).filter;
  };

  it("asks for every filter anew, since nobody knows what was said after it; an off holds", async () => {
    const state = await copied((world) => {
      world.report("west", { filter: "on", looked: true }, { at: NOW });
      world.report("eye", { filter: "off" }, { at: NOW });
    });
    expect(filterIn(state, "west")).toBe("unknown");
    expect(filterIn(state, "eye")).toBe("off");
    const world = new SiteWorld();
    world.state = state;
    world.report("west", { filter: "on" }, { at: NOW + 30_000, seq: 1000 });
    expect(filterIn(world.state, "west")).toBe("on");
  });

  it("in a practice, too, and adds nothing where no filter was spoken of", async () => {
    const state = await copied((world) => {
      world.practise(NOW - 1000, -30);
      world.report("west", { practiceSafe: true, filter: "on", looked: true }, { at: NOW });
    });
    expect(filterIn(state, "west")).toBe("unknown");
    const plain = SiteWorld.planned().state.seq;
    expect((await copied(() => undefined)).seq).toBe(plain);
  });
});

describe("a file of older tables", () => {
  it("is copied while it is brought to today's, and nothing is left of the copy", async () => {
    let copied: unknown;
    steps.push((db) => {
      const copy = new Database(older(), { readonly: true });
      copied = copy.prepare("SELECT command_id FROM events").pluck().all();
      copy.close();
      db.exec("CREATE TABLE later (x TEXT) STRICT");
    });
    expect(await prepareSite(file)).toMatchObject({ lastSeq: 1 });
    expect(copied).toEqual(["c1"]);
    expect(readdirSync(folder)).toEqual(["incoming-1.partial"]);
    const db = new Database(file, { readonly: true });
    expect(db.pragma("user_version", { simple: true })).toBe(today + 1);
    db.close();
  });

  it("that cannot be brought to today's leaves no copy either", async () => {
    let copied = false;
    steps.push((db) => {
      copied = existsSync(older());
      db.exec("CREATE TABLE events (x TEXT) STRICT");
    });
    await expect(prepareSite(file)).rejects.toThrow("events");
    expect(copied).toBe(true);
    expect(readdirSync(folder)).toEqual(["incoming-1.partial"]);
  });

  it("that was cut off in the midst of it: the copy is gone after the next opening", async () => {
    const site = siteFolder(folder, "site");
    await openLog(folder, "site").close();
    for (const ending of ["", "-older.partial", "-older.partial-journal"])
      writeFileSync(join(site, `incoming-1.partial${ending}`), "half a site, its secret in it");
    await openLog(folder, "site").close();
    expect(readdirSync(site).filter((name) => name.includes("partial"))).toEqual([]);
  });
});
