/** Images through the interface: noted, placed, corrected, found wanting. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { FRAMES_MOST } from "../../../shared/fields/image-frame.ts";
import { stampedAt } from "../../shared/images/place/frames.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";
import { closeClients, connect, rigHello } from "../sockets/raw-client.ts";

let hub: TestHub;
let token: string;
let runId: string;
let c2: number;

beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token);
  const { body } = await hub.call("GET", "/api/run", undefined, token);
  runId = body.runId;
  c2 = Date.parse(body.contacts.c2.utc);
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const post = (body: object) => hub.call("POST", "/api/images", body, token);
const all = async () => (await hub.call("GET", `/api/images?run=${runId}`, undefined, token)).body;
const clock = (offsetS: number) =>
  hub.call(
    "POST",
    "/api/camera-clocks",
    { rigId: "west", zoneMin: 120, basis: { how: "hand", offsetS, boundS: 0.1, utcMs: c2 } },
    token,
  );

describe("images of a run", () => {
  it("are for leads, and of runs that there are", async () => {
    expect((await hub.call("GET", `/api/images?run=${runId}`)).status).toBe(401);
    expect((await hub.call("POST", "/api/images", {})).status).toBe(401);
    const first = await hub.call("GET", "/api/images", undefined, token);
    expect(first).toMatchObject({ status: 200, body: { runId, frames: [], findings: [] } });
    expect((await hub.call("GET", "/api/images?run=other", undefined, token)).status).toBe(404);
    expect(await all()).toEqual({ runId, frames: [], findings: [] });
  });

  it("are refused by the field that is wrong", async () => {
    const field = async (body: object) => (await post(body)).body.error.field;
    expect(await field({ rigId: "east", frames: [] })).toBe("rigId");
    expect(await field({ rigId: "west", runId: "other", frames: [] })).toBe("runId");
    expect(await field({ rigId: "west", frames: [{ file: "" }] })).toBe("frames.0.file");
    expect(await field({ rigId: "west", frames: Array(FRAMES_MOST + 1).fill({ file: "a" }) })).toBe("frames");
  });

  it("have no time while nothing is known of their camera", async () => {
    const frames = [stampedAt(c2 + 60_000, { file: "1.jpg" }), stampedAt(c2 - 600_000, { file: "2.jpg" })];
    const said = await post({ rigId: "west", frames });
    expect(said).toMatchObject({ status: 201, body: { runId, frames: 2 } });
    const answer = await all();
    expect(answer.frames.map(({ utc, boundS, phase }: any) => [utc, boundS, phase])).toEqual(
      Array(2).fill([null, null, null]),
    );
    expect(answer.findings).toContainEqual({ kind: "unplaced", rigId: "west", frames: 2, why: "no clock" });
  });

  it("are placed as soon as the clock is known, and anew when it is corrected", async () => {
    await clock(13.41);
    expect((await all()).frames[1].fromContact.s).toBeCloseTo(50, 1);
    await clock(3.41);
    const [before, after] = (await all()).frames;
    expect(before).toMatchObject({
      file: "2.jpg",
      rigId: "west",
      phase: "partial",
      filter: "unknown",
      camera: "camera",
    });
    expect(after).toMatchObject({ file: "1.jpg", phase: "totality", fromContact: { contact: "C2" } });
    expect(Math.abs(Date.parse(after.utc) - (c2 + 60_000))).toBeLessThanOrEqual(after.boundS * 1000);
  });

  it("are noted anew by their name; all of it stays in the log", async () => {
    await post({ rigId: "west", frames: [stampedAt(c2 + 90_000, { file: "1.jpg", exposureS: 0.5 })] });
    const { frames } = await all();
    expect(frames).toHaveLength(2);
    expect(frames[1]).toMatchObject({ file: "1.jpg", exposureS: 0.5 });
    expect(frames[1].fromContact.s).toBeCloseTo(90, 1);
    await post({ rigId: "west", replaces: true, frames: [stampedAt(c2, { file: "3.jpg" })] });
    expect((await all()).frames.map(({ file }: any) => file)).toEqual(["3.jpg"]);
    const { events } = (await hub.call("GET", `/api/log.json?run=${runId}`, undefined, token)).body;
    const noted = events.filter(({ type }: any) => type === "imagesNoted");
    expect(noted.map(({ payload }: any) => payload.frames.length)).toEqual([2, 1, 1]);
  });

  it("are not sent to phones: what they fold is the same without", async () => {
    const phone = connect(hub, rigHello(hub, "west"));
    expect(await phone.door).toBeUndefined();
    await post({ rigId: "west", frames: [stampedAt(c2, { file: "4.jpg" })] });
    const heard = () =>
      (phone.heard.events ?? []).flat() as { type: string; payload: { frames: unknown[] } }[];
    await until("the phone hears of it", () => heard().some(({ type }) => type === "imagesNoted"));
    for (const { type, payload } of heard()) if (type === "imagesNoted") expect(payload.frames).toEqual([]);
    expect((await all()).frames).toHaveLength(2);
    closeClients();
  });

  it("without a run named are those of the run that is on: the practice while one is, then the real one", async () => {
    const asked = async (path: string) => (await hub.call("GET", path, undefined, token)).body;
    expect(await asked("/api/images")).toEqual(await all());
    expect((await asked("/api/review")).runId).toBe(runId);
    const { body } = await hub.call("POST", "/api/practice", { anchor: "C2", offsetS: -60, rate: 1 }, token);
    expect(await asked("/api/images")).toMatchObject({ runId: body.runId, frames: [] });
    expect(await asked("/api/review")).toMatchObject({ runId: body.runId, kind: "practice" });
    await hub.call("DELETE", "/api/practice", undefined, token);
    expect((await asked("/api/images")).frames).toHaveLength(2);
  });
});

describe("count-ins that phones beside a rig gave", () => {
  it("stand in the log with the phone's own instant, and are given out per rig, by time", async () => {
    const bearer = (await hub.call("GET", "/api/rigs/west/link", undefined, token)).body.token;
    const say = (id: string, report: object) =>
      hub.call("POST", "/api/rigs/west/reports", { id, atUtcMs: Date.now(), ...report }, bearer);
    expect((await say("later", { countIn: c2 + 8000.25, countInFrom: c2 + 5000.25 })).status).toBeLessThan(
      300,
    );
    expect((await say("first", { countIn: c2 - 20_000, countInFrom: c2 - 30_000 })).status).toBeLessThan(300);
    expect((await say("bad", { countIn: c2 / 1000 })).body.error.field).toBe("countIn");
    const of = async (query: string) =>
      (await hub.call("GET", `/api/count-ins?${query}`, undefined, token)).body;
    const { countIns, ...rest } = await of("rig=west");
    expect(rest).toEqual({ runId });
    expect(countIns.map(({ utcMs, pips }: any) => [utcMs - c2, pips])).toEqual([
      [-20_000, 10],
      [8000.25, 3],
    ]);
    expect((await of("rig=east")).error.field).toBe("rig");
    expect((await of("rig=west&run=practice-none")).countIns).toEqual([]);
    expect((await hub.call("GET", "/api/count-ins?rig=west")).status).toBe(401);
  });
});
