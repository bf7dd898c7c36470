/** Cameras' clocks through the interface: said, solved, corrected, kept. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { CameraBasis } from "../../../shared/fields/camera-clock.ts";
import { clockOf } from "../../../shared/images/camera-clock/known-clock.ts";
import { offsetAt, utcOfStamp } from "../../../shared/images/camera-clock/solve.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";

let hub: TestHub;
let token: string;
let c2: number;

beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  const cabled = { ...LUXOR_PLAN.rigs[0], id: "cabled", name: "Cabled telescope" };
  await hub.call("PUT", "/api/plan", { ...LUXOR_PLAN, rigs: [...LUXOR_PLAN.rigs, cabled] }, token);
  c2 = Date.parse((await hub.call("GET", "/api/run", undefined, token)).body.contacts.c2.utc);
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const post = (body: object) => hub.call("POST", "/api/camera-clocks", body, token);
const all = async () => (await hub.call("GET", "/api/camera-clocks", undefined, token)).body.cameraClocks;

/** Hundredths of a second, 3.41 s fast and two hours of zone, an hour and a half before and after. */
function sightings(apartS = 3.41): CameraBasis {
  const at = [-5_400_000, -5_390_000, -5_370_000, 5_400_000, 5_420_000].map((ms) => c2 + ms);
  return {
    how: "sightings",
    sightings: at.map((utc, i) => ({
      of: "code",
      name: `clock-${i}.jpg`,
      stampMs: Math.floor((utc + 100 + 7_200_000 + apartS * 1000) / 10) * 10,
      stepMs: 10,
      utcMs: utc,
      holdMs: 200,
      boundMs: 5,
    })),
  };
}

describe("a camera's clock", () => {
  it("is for leads", async () => {
    expect((await hub.call("GET", "/api/camera-clocks")).status).toBe(401);
    expect((await hub.call("POST", "/api/camera-clocks", {})).status).toBe(401);
    expect(await all()).toEqual([]);
  });

  it("follows from photographs: offset apart from the zone, at C2, at C3 and anywhere", async () => {
    const said = await post({ rigId: "west", camera: "A", zoneMin: 120, basis: sightings() });
    expect(said.status).toBe(201);
    const [clock] = await all();
    expect(clock).toEqual(said.body);
    expect(clock).toMatchObject({
      rigId: "west",
      camera: "A",
      how: "photographs",
      zoneMin: 120,
      by: "lead:lead",
      used: 5,
    });
    expect(Math.abs(clock.offsetS - 3.41)).toBeLessThan(clock.boundS);
    // Stamps of 0.01 s, five and more: within 0.11 s at C2, the design's figure.
    expect(clock.boundS).toBeLessThanOrEqual(0.15);
    expect(clock.c2.utc).toBe(new Date(Math.round(c2)).toISOString());
    expect(clock.c2.offsetS).toBe(clock.offsetS);
    expect(clock.c3.boundS).toBeGreaterThan(0);
    // The corners say the same at C2.
    const afterS = (Date.parse(clock.c2.utc) - Date.parse(clock.line.originUtc)) / 1000;
    const there = clock.line.corners.map((corner: any) => corner.offsetS + corner.rate * afterS);
    expect((Math.min(...there) + Math.max(...there)) / 2).toBeCloseTo(clock.offsetS, 3);
    // And a stamp of it becomes UTC.
    const known = clockOf(clock.basis, clock.zoneMin);
    const { utcMs, boundMs } = utcOfStamp(known as never, c2 + 7_203_410, 10);
    expect(Math.abs(utcMs - c2)).toBeLessThanOrEqual(boundMs);
  });

  it("names what contradicts, and by how much", async () => {
    const basis = sightings();
    if (basis.how === "sightings") (basis.sightings[1] as { stampMs: number }).stampMs += 3000;
    const { body } = await post({ rigId: "west", camera: "B", zoneMin: 120, basis });
    expect(body).toMatchObject({ used: 4, dropped: [{ name: "clock-1.jpg", missS: expect.any(Number) }] });
    expect(body.dropped[0].missS).toBeGreaterThan(2.5);
    expect(body.dropped[0].missS).toBeLessThan(3);
  });

  it("typed by hand holds at its instant and widens away from it by what crystals do", async () => {
    const basis = { how: "hand", offsetS: -1.2, boundS: 0.5, utcMs: c2 + 3_600_000 };
    const { body } = await post({ rigId: "wide", zoneMin: -345, basis });
    expect(body).toMatchObject({ camera: "camera", how: "hand", zoneMin: -345, dropped: [] });
    expect(body.offsetS).toBeCloseTo(-1.2, 6);
    // 40 ppm over an hour: 0.144 s.
    expect(body.boundS).toBeCloseTo(0.644, 4);
  });

  it("follows from a frame of a known instant, without a display's delay", async () => {
    const seen = {
      of: "frame",
      name: "first bead",
      stampMs: c2 + 2000,
      stepMs: 1000,
      utcMs: c2,
      boundMs: 300,
    };
    const { body } = await post({
      rigId: "wide",
      camera: "bead",
      basis: { how: "sightings", sightings: [seen] },
    });
    // Between 2000 − 300 and 2000 + 1000 + 300 ms.
    expect(body).toMatchObject({ how: "frame", zoneMin: 0 });
    expect(body.offsetS).toBeCloseTo(2.5, 6);
    expect(body.boundS).toBeCloseTo(0.8, 6);
  });

  it("is corrected by a later word; the earlier stays beside it and in the log", async () => {
    const basis = { how: "hand", offsetS: 7, boundS: 1, utcMs: c2 };
    await post({ rigId: "wide", camera: "twice", basis });
    await post({ rigId: "wide", camera: "twice", basis: { ...basis, offsetS: 8 } });
    const clock = (await all()).find(({ camera }: any) => camera === "twice");
    expect(clock).toMatchObject({ offsetS: 8, earlier: [{ offsetS: 7, how: "hand" }] });
    await post({ rigId: "wide", camera: "twice", basis: { how: "unknown" } });
    const gone = (await all()).find(({ camera }: any) => camera === "twice");
    expect(gone).toMatchObject({ how: "unknown", offsetS: null, boundS: null, c2: null, line: null });
    const { events } = (await hub.call("GET", "/api/log.json", undefined, token)).body;
    const words = events.filter((event: any) => event.payload.camera === "twice");
    expect(words.map(({ type, payload }: any) => [type, payload.basis.how])).toEqual([
      ["cameraClockNoted", "hand"],
      ["cameraClockNoted", "hand"],
      ["cameraClockNoted", "unknown"],
    ]);
  });

  it("is logged once for a repeat of the same id", async () => {
    const note = {
      id: "once",
      rigId: "wide",
      camera: "once",
      basis: { how: "hand", offsetS: 1, boundS: 1, utcMs: c2 },
    };
    expect((await post(note)).status).toBe(201);
    expect((await post(note)).status).toBe(201);
    expect((await all()).find(({ camera }: any) => camera === "once").earlier).toEqual([]);
    expect((await post({ ...note, camera: "other" })).status).toBe(409);
  });

  it.each([
    ["an unknown rig", { rigId: "constructor" }, 400, "rigId"],
    ["a rig that is not in the plan", { rigId: "north" }, 404, "rigId"],
    ["no camera's name", { camera: " " }, 400, "camera"],
    ["a zone that is none", { zoneMin: 50 }, 400, "zoneMin"],
    ["no sighting", { basis: { how: "sightings", sightings: [] } }, 400, "basis.sightings"],
    [
      "a kind nobody knows",
      { basis: { how: "sightings", sightings: [{ of: "rumour" }] } },
      400,
      "basis.sightings.0.of",
    ],
    ["no bound", { basis: { how: "hand", offsetS: 1, utcMs: 1.8e12 } }, 400, "basis.boundS"],
    [
      "a bound below nothing",
      { basis: { how: "hand", offsetS: 1, boundS: -1, utcMs: 1.8e12 } },
      400,
      "basis.boundS",
    ],
    ["a field nobody knows", { colour: "red" }, 400, "colour"],
  ])("is refused with %s, by the field's name", async (_what, wrong, status, field) => {
    const basis = { how: "hand", offsetS: 1, boundS: 1, utcMs: c2 };
    const before = await all();
    const answer = await post({ rigId: "west", camera: "A", basis, ...wrong });
    expect(answer.status).toBe(status);
    expect(answer.body.error.field).toBe(field);
    expect(await all()).toEqual(before);
  });
});

describe("a camera that says its time over its cable", () => {
  /** As an agent does: the camera's shown second less UTC, within half a second and the asking. */
  async function reads(
    id: string,
    rigId: string,
    atUtcMs: number,
    offsetS: number,
    boundS = 0.6,
  ): Promise<void> {
    const link = await hub.call("GET", `/api/rigs/${rigId}/link`, undefined, token);
    const report = { id, atUtcMs, instrument: "camera", cameraClockS: offsetS, cameraClockBoundS: boundS };
    expect(
      (await hub.call("POST", `/api/rigs/${rigId}/reports`, report, link.body.token)).status,
    ).toBeLessThan(300);
  }
  const ofRig = async (rigId: string) => (await all()).filter((one: any) => one.rigId === rigId);

  it("is known by it, zone apart, with the method named, until a person says otherwise", async () => {
    const now = Date.now() - 1000;
    await reads("cable-1", "cabled", now - 1_260_000, 7203.41);
    const [first] = await until("a word", async () => {
      const found = await ofRig("cabled");
      return found.length > 0 ? found : null;
    });
    expect(first).toMatchObject({
      camera: "camera",
      how: "cable",
      zoneMin: 120,
      used: 1,
      dropped: [],
      earlier: [],
    });
    // A reading later is worth a word when the last is ten minutes old, or when it closes in.
    await reads("cable-2", "cabled", now - 1_200_000, 7203.4);
    await reads("cable-3", "cabled", now - 600_000, 7202.7);
    const [second] = await until("a closer word", async () => {
      const [found] = await ofRig("cabled");
      return found?.used === 2 ? [found] : null;
    });
    // [3.41 ± 0.65] and [2.7 ± 0.65] leave [2.76, 3.35], and what a crystal does in eleven minutes.
    const known = clockOf(second.basis, second.zoneMin);
    const { offsetMs, boundMs } = offsetAt(known as never, now - 600_000);
    expect(Math.abs(offsetMs / 1000 - 7203.055)).toBeLessThan(0.06);
    expect(boundMs / 1000).toBeLessThan(0.36);
    expect(second.earlier).toHaveLength(1);

    // It goes with a site's frames: a stamp of that camera becomes UTC.
    const { utcMs } = utcOfStamp(known as never, now - 600_000 + 7_203_055, 1000);
    expect(Math.abs(utcMs - now + 600_000)).toBeLessThan(700);

    const hand = { how: "hand", offsetS: 3, boundS: 0.1, utcMs: c2 };
    expect((await post({ rigId: "cabled", zoneMin: 120, basis: hand })).status).toBe(201);
    await reads("cable-4", "cabled", now, 7202.9);
    await reads("cable-5", "cabled", now, 7202.95);
    expect(await ofRig("cabled")).toMatchObject([{ how: "hand", by: "lead:lead" }]);
  });

  it("by a word of a program's own is checked as any other", async () => {
    const basis = { how: "cable", readings: [{ utcMs: c2, offsetS: "3", boundS: 1 }] };
    const said = await post({ rigId: "west", basis });
    expect([said.status, said.body.error.field]).toEqual([400, "basis.readings.0.offsetS"]);
    expect((await post({ rigId: "west", basis: { how: "cable", readings: [] } })).status).toBe(400);
  });
});
