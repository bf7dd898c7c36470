/** Places to compare and to move to: kept with the site, compared by the plan's eclipse, moved to and back. */
import { readFileSync } from "node:fs";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let log: MemoryLog;
let token: string;

beforeEach(async () => {
  log = new MemoryLog();
  hub = await startTestHub(log);
  token = await hub.signIn();
});
afterEach(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const ask = (method: string, path: string, body?: unknown, headers: Record<string, string> = {}) =>
  hub.call(method, path, body, token, headers);
const plan = (more: object = {}) => ask("PUT", "/api/plan", { ...LUXOR_PLAN, ...more }, { "If-Match": "*" });
const keep = (id: string, site: object, more: object = {}) =>
  ask("PUT", `/api/candidates/${id}`, { id, site: { name: id, ...site }, ...more });

const PALMS = { latDeg: 25.5, lonDeg: 32.6, heightM: 80 };
/** South of the path: partial. */
const SOUTH = { latDeg: 20, lonDeg: 33 };

describe("places to compare", () => {
  it("tell duration, height, doubt and the latest departure as published figures have them", async () => {
    const { rows } = JSON.parse(
      readFileSync(
        new URL("../../fixtures/eclipse/published-local-circumstances.json", import.meta.url),
        "utf8",
      ),
    );
    // US Naval Observatory: Valencia, 2026-08-12, totality from 18:32:25.7 for 61.0 s, Sun 4.4° high.
    const row = rows.find(({ place, kind }: any) => kind === "total" && place.startsWith("Valencia"));
    const site = { ...LUXOR_PLAN.site, latDeg: row.lat_deg, lonDeg: row.lon_east_deg, heightM: row.height_m };
    await plan({ eclipse: row.eclipse, site, limb: false });
    const { body } = await keep("beach", site, { driveMin: 120, setUpMin: 90, marginMin: 30 });
    const [beach] = body.candidates;
    expect(beach).toMatchObject({ id: "beach", here: true, site: { zone: "Europe/Madrid" } });
    expect(beach.gets).toMatchObject({ kind: "total", visible: true });
    // Second-hand, of an unknown ΔT and radius of the Moon: seconds. Their height is refracted or not, to 0.1°.
    expect(Math.abs(beach.gets.durationS - row.central_duration_s)).toBeLessThan(2.5);
    expect(Math.abs(beach.gets.altitudeDeg - row.alt_deg.max)).toBeLessThan(0.3);
    expect(beach.gets.timingBoundS).toBeGreaterThan(0);
    // Four hours before their C2 (arithmetic). Their ΔT, not told, is some 5 s from ours.
    const c2 = Date.parse(`${row.eclipse}T${row.c2}Z`);
    expect(beach.gets.departure.anchor).toBe("C2");
    expect(Math.abs(beach.gets.departure.utcMs - (c2 - 4 * 3_600_000))).toBeLessThan(7000);
    expect(Date.parse(beach.gets.departure.utc)).toBe(beach.gets.departure.utcMs);
  });

  it("are five at most, each changed and taken off by itself, and kept with the site", async () => {
    await plan();
    for (const id of ["a", "b", "c", "d", "e"]) expect((await keep(id, PALMS)).status).toBe(200);
    const sixth = await keep("f", PALMS);
    expect(sixth).toMatchObject({ status: 400, body: { error: { field: "candidates" } } });
    expect((await keep("b", SOUTH, { driveMin: 40 })).body.candidates[1]).toMatchObject({
      driveMin: 40,
      here: false,
      gets: { kind: "partial", durationS: 0, departure: { anchor: "max" } },
    });
    expect((await ask("DELETE", "/api/candidates/c")).body.candidates).toHaveLength(4);
    expect((await ask("DELETE", "/api/candidates/constructor")).status).toBe(404);
    // A setting of the site: in its file, and in no event or plan.
    const kept = log.getSetting("candidates") as { candidates: { id: string }[] };
    expect(kept.candidates.map(({ id }) => id)).toEqual(["a", "b", "d", "e"]);
    expect(JSON.stringify(hub.parts.keeper.state)).not.toContain("driveMin");
  });

  it("are a lead's only, and refused by the field that is wrong", async () => {
    expect((await hub.call("GET", "/api/candidates")).status).toBe(401);
    expect((await hub.call("POST", "/api/candidates/a/move")).status).toBe(401);
    expect(await keep("a", PALMS, { driveMin: -1 })).toMatchObject({
      status: 400,
      body: { error: { field: "driveMin" } },
    });
    expect((await keep("a", { ...PALMS, latDeg: 91 })).body.error.field).toBe("site.latDeg");
    expect((await ask("PUT", "/api/candidates/b", { id: "a", site: PALMS })).status).toBe(400);
  });

  it("without an eclipse in the plan say nothing of it, and of nonsense in a file there are none", async () => {
    expect((await keep("a", PALMS)).body).toMatchObject({ eclipse: null, candidates: [{ gets: null }] });
    log.setSetting("candidates", { candidates: "many" });
    expect((await ask("GET", "/api/candidates")).body.candidates).toEqual([]);
  });
});

describe("moving", () => {
  it("takes the whole plan there, says what changed for each rig, and another call goes back", async () => {
    await plan();
    const before = (await ask("GET", "/api/plan")).body;
    await keep("south", SOUTH);
    const moved = await ask("POST", "/api/candidates/south/move");
    expect(moved).toMatchObject({ status: 200, body: { revision: 2, site: { name: "south" } } });
    const [west, wide] = moved.body.rigs;
    // S2: at a partial site no filter comes off.
    expect(west).toMatchObject({ rigId: "west", opened: true, opens: false });
    expect(west.gone).toContain("filter-off");
    expect(west.notes).toContainEqual({ code: "cues-derived", rigId: "west", data: {} });
    expect(wide).toMatchObject({ rigId: "wide", opened: false, opens: false });
    const there = (await ask("GET", "/api/plan")).body;
    // S5: coordinates of a list are nobody's word that the group stands there.
    expect(there.site).toMatchObject({ ...SOUTH, confirmed: false });
    expect(there.rigs[0].cues.some(({ action }: any) => action === "filter-off")).toBe(false);
    expect((await ask("GET", "/api/candidates")).body).toMatchObject({
      candidates: [{ here: true }],
      cameFrom: before.site,
    });

    const back = await ask("POST", "/api/candidates-back");
    expect(back.body).toMatchObject({ site: before.site, rigs: [{ opened: false, opens: true }, {}] });
    expect((await ask("GET", "/api/plan")).body).toEqual({ ...before, revision: 3 });
  });

  it("to a place does not confirm it (S5); where the plan is already, what was said of it stands", async () => {
    await plan();
    await keep("south", SOUTH, { site: { name: "south", ...SOUTH, confirmed: true } });
    await keep("here", {}, { site: { ...LUXOR_PLAN.site, name: "here" } });
    expect((await ask("POST", "/api/candidates/here/move")).body.site.confirmed).toBe(true);
    expect((await ask("POST", "/api/candidates/south/move")).body.site.confirmed).toBe(false);
    const alerts = () => hub.call("GET", "/api/run", undefined, token);
    expect((await alerts()).body.alerts.map(({ cause }: any) => cause)).toContain("site-unconfirmed");
    const { group, eclipse, limb, site } = (await ask("GET", "/api/plan")).body;
    const part = { group, eclipse, limb, site: { ...site, confirmed: true } };
    const saved = await ask("PUT", "/api/plan/site", part, { "If-Match": "*" });
    expect(saved.status).toBe(200);
    expect((await ask("GET", "/api/plan")).body.site.confirmed).toBe(true);
    await keep("again", PALMS);
    await ask("POST", "/api/candidates/again/move");
    // Going back undoes: the place is as it was left.
    expect((await ask("POST", "/api/candidates-back")).body.site).toMatchObject({
      ...SOUTH,
      confirmed: true,
    });
  });

  it("is refused with an old ETag and to nowhere, and then nothing is moved", async () => {
    await plan();
    await keep("south", SOUTH);
    const stale = await ask("POST", "/api/candidates/south/move", undefined, { "If-Match": '"site-0"' });
    expect(stale).toMatchObject({ status: 409, body: { error: { code: "stale-plan" } } });
    const wrong = await ask("POST", "/api/candidates/south/move", undefined, { "If-Match": '"plan-1"' });
    expect(wrong.body.error.field).toBe("If-Match");
    expect((await ask("POST", "/api/candidates/north/move")).status).toBe(404);
    expect((await ask("POST", "/api/candidates-back")).status).toBe(404);
    expect((await ask("GET", "/api/plan")).body.revision).toBe(1);
  });
});
