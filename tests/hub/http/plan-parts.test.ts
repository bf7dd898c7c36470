/** The plan in parts: each has its own ETag (RFC 9110, 13.1.1), and events carry one part. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let token: string;
let events: SiteEvent[];

beforeEach(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": "*" });
  events = [];
  hub.parts.keeper.on("events", (more) => events.push(...more.filter(({ type }) => !/alert/.test(type))));
});
afterEach(() => hub.stop());

async function get(path: string): Promise<{ body: any; etag: string }> {
  const { body, headers } = await hub.call("GET", path, undefined, token);
  return { body, etag: headers.get("ETag") ?? "" };
}
const put = (path: string, body: unknown, etag: string) =>
  hub.call("PUT", path, body, token, { "If-Match": etag });
/** A rig with one cue moved. */
const moved = (rig: any, byS: number) => ({
  ...rig,
  cues: rig.cues.map((cue: any) => (cue.id === "cap-stop" ? { ...cue, offsetS: cue.offsetS + byS } : cue)),
});

describe("one rig of the plan", () => {
  it("is saved by itself: one event, below 5 kB, and the plan's revision goes on", async () => {
    const { body, etag } = await get("/api/plan/rigs/west");
    const saved = await put("/api/plan/rigs/west", { rig: moved(body.rig, 9) }, etag);
    expect(saved).toMatchObject({ status: 200, body: { revision: 2 } });
    expect(saved.headers.get("ETag")).toBe('"rig-2"');
    expect(events.map(({ type }) => type)).toEqual(["rigPlanned"]);
    expect(Buffer.byteLength(JSON.stringify(events[0]))).toBeLessThan(5000);
    const after = await get("/api/plan");
    expect(after.etag).toBe('"plan-2"');
    expect(after.body.rigs[0]).toMatchObject({ edits: [{ do: "move", cueId: "cap-stop", byS: 9 }] });
  });

  it("collides with nobody who edits another rig, or the site", async () => {
    const [west, wide, site] = await Promise.all([
      get("/api/plan/rigs/west"),
      get("/api/plan/rigs/wide"),
      get("/api/plan/site"),
    ]);
    const wider = { ...wide.body.rig, operator: "Ben" };
    expect((await put("/api/plan/rigs/west", { rig: moved(west.body.rig, 9) }, west.etag)).status).toBe(200);
    expect((await put("/api/plan/rigs/wide", { rig: wider }, wide.etag)).status).toBe(200);
    expect((await put("/api/plan/site", { ...site.body, group: "Others" }, site.etag)).status).toBe(200);
    const { body } = await get("/api/plan");
    expect(body).toMatchObject({ revision: 4, group: "Others", rigs: [{ id: "west" }, { operator: "Ben" }] });
  });

  it("is refused to who edited an older one, and told who saved it since", async () => {
    const { body, etag } = await get("/api/plan/rigs/west");
    await put("/api/plan/rigs/west", { rig: moved(body.rig, 9) }, etag);
    const late = await put("/api/plan/rigs/west", { rig: moved(body.rig, 5) }, etag);
    expect(late).toMatchObject({
      status: 409,
      body: { error: { code: "stale-plan", data: { revision: 2, by: expect.stringMatching(/^lead:/) } } },
    });
    expect(late.headers.get("ETag")).toBe('"rig-2"');
    const whole = await put("/api/plan", LUXOR_PLAN, '"plan-1"');
    expect(whole).toMatchObject({
      status: 409,
      body: { error: { data: { revision: 2, by: expect.any(String) } } },
    });
  });

  it("comes and goes by itself", async () => {
    const rig = { id: "new", name: "New one", kind: "tripod-camera" };
    expect((await put("/api/plan/rigs/other", { rig }, '"rig-0"')).body.error.field).toBe("rig.id");
    expect((await put("/api/plan/rigs/new", { rig }, '"plan-1"')).body.error.field).toBe("If-Match");
    expect((await put("/api/plan/rigs/new", { rig }, '"rig-0"')).status).toBe(200);
    expect((await put("/api/plan/rigs/new", { rig }, '"rig-0"')).status).toBe(409);
    const gone = await hub.call("DELETE", "/api/plan/rigs/new", undefined, token, { "If-Match": '"rig-2"' });
    expect(gone.status).toBe(204);
    expect(events.map(({ type }) => type)).toEqual(["rigPlanned", "rigRemoved"]);
    expect((await hub.call("GET", "/api/plan/rigs/new", undefined, token)).status).toBe(404);
    expect(
      (await hub.call("DELETE", "/api/plan/rigs/new", undefined, token, { "If-Match": "*" })).status,
    ).toBe(404);
  });

  it("is refused where a rule of the eye forbids it, and nothing is saved", async () => {
    const { body, etag } = await get("/api/plan/rigs/west");
    const cues = body.rig.cues.filter((cue: any) => cue.id !== "filter-on");
    const refused = await put("/api/plan/rigs/west", { rig: { ...body.rig, cues } }, etag);
    expect(refused).toMatchObject({ status: 400, body: { error: { code: "safety-rule", rule: "S1" } } });
    expect(events).toEqual([]);
  });
});

describe("the whole plan", () => {
  it("becomes an event for each part that differs, in one transaction", async () => {
    const { body, etag } = await get("/api/plan");
    const batches: string[][] = [];
    hub.parts.keeper.on("events", (more) => batches.push(more.map(({ type }) => type)));
    body.rigs[1].operator = "Ben";
    expect((await put("/api/plan", body, etag)).status).toBe(200);
    body.rigs.reverse();
    body.group = "Others";
    expect((await put("/api/plan", body, "*")).status).toBe(200);
    expect(batches.filter(([type]) => !/alert/.test(type ?? ""))).toEqual([
      ["rigPlanned"],
      ["sitePlanned", "rigsOrdered"],
    ]);
    expect((await get("/api/plan")).body).toEqual({ ...body, revision: 3 });
  });

  it("is told apart from too much in words that name the limit", async () => {
    const text = JSON.stringify({ ...LUXOR_PLAN, group: "x".repeat(7_000_000) });
    const response = await fetch(`${hub.url}/api/plan`, {
      method: "PUT",
      body: text,
      headers: { Authorization: `Bearer ${token}`, "Content-Type": "application/json", "If-Match": "*" },
    });
    expect(response.status).toBe(413);
    expect((await response.json()).error).toMatchObject({
      code: "too-large",
      message: expect.stringContaining("6291456 bytes"),
      field: "body",
    });
  });
});
