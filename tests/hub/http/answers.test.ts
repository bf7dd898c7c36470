/**
 * Real answers held against the schemas that /api/openapi.json shows for them, by a validator of
 * others (Ajv, JSON Schema 2020-12, which OpenAPI 3.1 speaks). What is described must be there, and
 * nothing may be there that is not described.
 */
import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";
import { closeClients, connect, rigHello } from "../sockets/raw-client.ts";

let hub: TestHub;
let token: string;
let paths: Record<string, any>;

beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  paths = (await hub.call("GET", "/api/openapi.json")).body.paths;
});
afterAll(async () => {
  closeClients();
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

/** The schema as it is served, with every object closed that lists its fields. */
function closed(schema: unknown): unknown {
  if (Array.isArray(schema)) return schema.map(closed);
  if (typeof schema !== "object" || schema === null) return schema;
  const inside = Object.entries(schema).map(([key, value]) => [key, closed(value)]);
  return { ...("properties" in schema && { additionalProperties: false }), ...Object.fromEntries(inside) };
}

const validators = new Map<string, ValidateFunction>();

function validatorOf(method: string, path: string, status: number): ValidateFunction {
  const key = `${method} ${path} ${status}`;
  const known = validators.get(key);
  if (known) return known;
  const schema = paths[path][method.toLowerCase()].responses[status].content["application/json"].schema;
  expect(schema, key).toMatchObject({
    type: "object",
    required: expect.arrayContaining([expect.any(String)]),
  });
  // Ajv checks the schema itself against the 2020-12 meta-schema.
  const made = new Ajv2020({ strict: true, strictTypes: false, allErrors: true }).compile(
    closed(schema) as object,
  );
  validators.set(key, made);
  return made;
}

/** Calls, and holds the answer against what is said of it. */
async function checked(
  method: string,
  path: string,
  {
    query = "",
    id = "",
    body,
    bearer = token,
  }: { query?: string; id?: string; body?: unknown; bearer?: string } = {},
): Promise<any> {
  const answer = await hub.call(method, path.replace("{id}", id) + query, body, bearer);
  expect(answer.status, JSON.stringify(answer.body)).toBeLessThan(300);
  const validate = validatorOf(method, path, answer.status);
  validate(answer.body);
  expect(validate.errors ?? [], `${method} ${path}${query}`).toEqual([]);
  // The check can fail: without any one of its fields that are always there it is another thing.
  const { required } = validate.schema as { required: string[] };
  for (const field of required) {
    const { [field]: _, ...rest } = answer.body;
    expect(validate(rest), `${path} without ${field}`).toBe(false);
  }
  return answer.body;
}

async function checkAll(): Promise<void> {
  await checked("GET", "/api/health");
  await checked("GET", "/api/plan");
  await checked("GET", "/api/run");
  await checked("GET", "/api/board");
  await checked("GET", "/api/log.json");
}

describe("answers are as they are described", () => {
  it("of a hub without a plan", checkAll);

  it("of eclipses of every kind", async () => {
    const { eclipses } = await checked("GET", "/api/eclipses", { query: "?from=1990-01-01&to=2100-12-31" });
    expect(new Set(eclipses.map((item: any) => item.kind)).size).toBe(4);
    await checked("GET", "/api/eclipses");
  });

  it.each([
    ["total, with the limb", "eclipse=2027-08-02&lat=25.5&lon=32.6&height=80", "total"],
    ["total, without the limb", "eclipse=2027-08-02&lat=25.5&lon=32.6&limb=off", "total"],
    ["ended by sunset", "eclipse=2026-08-12&lat=41.65&lon=-0.9", "total"],
    ["annular", "eclipse=2028-01-26&lat=3&lon=-51.5", "annular"],
    ["partial", "eclipse=2027-08-02&lat=48&lon=11", "partial"],
    ["out of the shadow", "eclipse=2027-08-02&lat=-60&lon=-120", "none"],
  ])("of a place where it is %s", async (_what, query, kind) => {
    expect(await checked("GET", "/api/circumstances", { query: `?${query}` })).toMatchObject({ kind });
  });

  it("of the sky around the Sun, also where there is no eclipse", async () => {
    const query = "?eclipse=2027-08-02&lat=25.5&lon=32.6&height=80";
    const first = await checked("GET", "/api/sky", { query });
    expect(first.utc).toMatch(/^2027-08-02T10:0/);
    expect(first.sky.bodies[0]).toMatchObject({ name: "Venus", kind: "planet" });
    expect(await checked("GET", "/api/sky", { query })).toEqual(first);
    const none = await checked("GET", "/api/sky", { query: "?eclipse=2027-08-02&lat=-60&lon=-120" });
    expect(none.sky).toBeNull();
    expect((await hub.call("GET", "/api/sky?eclipse=2027-08-02&lat=95&lon=0")).body.error.field).toBe("lat");
    expect((await hub.call("GET", "/api/sky?eclipse=2027-08-03&lat=25&lon=0")).status).toBe(400);
  });

  it("of a plan, its site with a skyline", async () => {
    const plan = {
      ...LUXOR_PLAN,
      site: {
        ...LUXOR_PLAN.site,
        skyline: [
          [0, 2],
          [180, 5],
        ],
      },
    };
    const saved = await checked("PUT", "/api/plan", { body: plan });
    expect(await checked("GET", "/api/plan")).toEqual(saved);
    await checkAll();
  });

  it("of a practice with a phone, reports, a call, a cover and alerts", async () => {
    await checked("POST", "/api/practice", { body: { anchor: "C2", offsetS: -60, rate: 20 } });
    const { token: bearer } = await checked("GET", "/api/rigs/{id}/link", { id: "west" });
    const at = { id: "west", bearer };
    const report = { atUtcMs: Date.now(), filter: "off", cardFreeGB: 0.2, batteryPct: 15, sky: "thin" };
    await checked("POST", "/api/rigs/{id}/reports", { ...at, body: { id: "said", ...report } });
    const more = { atUtcMs: Date.now(), tracking: true, focused: true, recording: false, help: true };
    await checked("POST", "/api/rigs/{id}/reports", { ...at, body: { id: "more", ...more } });
    expect(await connect(hub, rigHello(hub, "west")).door).toBeUndefined();
    for (const order of [{ type: "call", call: "stay filtered" }, { type: "cover" }]) {
      await checked("POST", "/api/orders", { body: { id: order.type, order } });
    }
    await until("an alert stands", () => hub.parts.alerts.standing().some(({ rigId }) => rigId === "west"));
    await checkAll();
    const run = await checked("GET", "/api/run");
    expect(run).toMatchObject({ kind: "practice", cover: { by: expect.any(String) } });
    expect(run.rigs[0]).toMatchObject({ help: true, sky: "thin", devices: [{ deviceId: "phone-west" }] });
    expect(run.calls).toHaveLength(1);
    expect(run.alerts.map((alert: any) => alert.rigId)).toContain("west");
    expect(run.contacts.c2).not.toBeNull();
    const { events } = await checked("GET", "/api/log.json");
    const types = events.map((event: any) => event.type);
    expect(types).toEqual(
      expect.arrayContaining(["sitePlanned", "rigPlanned", "rigReported", "alertRaised"]),
    );
    await checked("POST", "/api/rigs/{id}/link", { id: "west" });
    const seen = { of: "frame", stampMs: 1.8e12, stepMs: 10, utcMs: 1.8e12, boundMs: 300 };
    const sightings = [seen, { ...seen, stampMs: 1.8e12 + 5000 }];
    for (const basis of [{ how: "unknown" }, { how: "sightings", sightings }]) {
      await checked("POST", "/api/camera-clocks", { body: { rigId: "west", basis } });
    }
    expect((await checked("GET", "/api/camera-clocks")).cameraClocks).toHaveLength(1);
    await checked("GET", "/api/contacts-seen");
    const frame = { file: "1.jpg", stamp: { text: "", localMs: 1.8e12, stepMs: 10, offsetMin: 120 } };
    const noted = await checked("POST", "/api/images", { body: { rigId: "west", frames: [frame] } });
    await checked("GET", "/api/count-ins", { query: `?rig=west&run=${noted.runId}` });
    const { frames } = await checked("GET", "/api/images", { query: `?run=${noted.runId}` });
    expect(frames).toHaveLength(1);
  });

  it("of a refusal", async () => {
    const { components } = (await hub.call("GET", "/api/openapi.json")).body;
    const validate = new Ajv2020({ strict: true }).compile(closed(components.schemas.Error) as object);
    const refused = [
      await hub.call("GET", "/api/coordinates?text=nowhere"),
      await hub.call("GET", "/api/circumstances?eclipse=2027-08-02&lat=91&lon=0"),
      await hub.call("GET", "/api/run"),
      await hub.call("GET", "/api/nothing"),
      await hub.call("PUT", "/api/plan", { ...LUXOR_PLAN, revision: 99 }, token),
    ];
    expect(refused.map(({ status }) => status)).toEqual([400, 400, 401, 404, 409]);
    for (const { body } of refused) {
      validate(body);
      expect(validate.errors ?? [], JSON.stringify(body)).toEqual([]);
    }
    expect(validate({ error: { code: "bad-input" } })).toBe(false);
  });
});
