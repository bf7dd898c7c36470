/** The HTTP interface as outside programs rely on it, through a real server on loopback. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { AppendEntry } from "../../../hub/log/event-log.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let token: string;

beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

describe("what anyone may ask", () => {
  it("says that it is well and how good its clock is", async () => {
    const { status, body } = await hub.call("GET", "/api/health");
    expect(status).toBe(200);
    expect(body).toMatchObject({ status: "ok", version: "test", protocol: 1 });
    expect(Math.abs(body.utcMs - Date.now())).toBeLessThan(2000);
    expect(body.clock.boundMs).toBeGreaterThan(0);
  });

  it("lists the eclipses between two days", async () => {
    const { body } = await hub.call("GET", "/api/eclipses?from=2026-01-01&to=2028-12-31");
    const found = Object.fromEntries(body.eclipses.map((item: any) => [item.id, item.kind]));
    // Five Millennium Canon (NASA/TP-2006-214141): these eclipses and kinds.
    expect(found).toMatchObject({
      "2026-02-17": "annular",
      "2026-08-12": "total",
      "2027-02-06": "annular",
      "2027-08-02": "total",
      "2028-01-26": "annular",
      "2028-07-22": "total",
    });
  });

  it.each([
    ["lat=91&lon=0", "lat"],
    ["lat=abc&lon=0", "lat"],
    ["lon=0", "lat"],
    ["lat=0", "lon"],
    ["lat=0&lon=999", "lon"],
    ["lat=0&lon=0&height=1e9", "height"],
    ["lat=0&lon=0&deltaT=x", "deltaT"],
    ["lat=0&lon=0&limb=maybe", "limb"],
    ["lat=0&lon=0&solarRadius=9.6", "solarRadius"],
    ["lat=0&lon=0&placeBound=-1", "placeBound"],
    ["lat=1&lat=2&lon=0", "lat"],
    ["lat=&lon=0", "lat"],
  ])("names the field that is wrong in ?%s", async (query, field) => {
    const { status, body } = await hub.call("GET", `/api/circumstances?eclipse=2027-08-02&${query}`);
    expect(status).toBe(400);
    expect(body.error).toMatchObject({ code: "bad-input", field });
    expect(body.error.message).toContain(field);
  });

  it("refuses an eclipse that is not in the table, and one that is no date", async () => {
    const unknown = await hub.call("GET", "/api/circumstances?eclipse=2027-08-03&lat=0&lon=0");
    expect(unknown).toMatchObject({ status: 400, body: { error: { field: "eclipse" } } });
    const bad = await hub.call("GET", "/api/circumstances?eclipse=soon&lat=0&lon=0");
    expect(bad).toMatchObject({ status: 400, body: { error: { field: "eclipse" } } });
  });

  it("describes itself from the schemas that parse it", async () => {
    const { body } = await hub.call("GET", "/api/openapi.json");
    expect(body.openapi).toMatch(/^3\.1/);
    expect(Object.keys(body.paths)).toEqual(
      expect.arrayContaining(["/api/health", "/api/circumstances", "/api/plan", "/api/rigs/{id}/reports"]),
    );
    const parameters = body.paths["/api/circumstances"].get.parameters;
    expect(parameters.find((item: any) => item.name === "lat").required).toBe(true);
    expect(parameters.find((item: any) => item.name === "deltaT").required).toBe(false);
    expect((await hub.call("GET", "/api/plan.schema.json")).body.properties.rigs.type).toBe("array");
  });

  it("refuses a Host that is not its own", async () => {
    const { request } = await import("node:http");
    const status = await new Promise((resolve) => {
      request(`${hub.url}/api/health`, { headers: { Host: "evil.example" } }, (response) =>
        resolve(response.statusCode),
      ).end();
    });
    expect(status).toBe(400);
  });
});

describe("what a lead may do", () => {
  it("says 401 before it looks at the form", async () => {
    for (const [method, path] of [
      ["GET", "/api/plan"],
      ["PUT", "/api/plan"],
      ["POST", "/api/practice"],
      ["GET", "/api/run"],
      ["GET", "/api/log.json"],
      ["GET", "/api/rigs/west/link"],
      ["POST", "/api/rigs/west/reports"],
    ] as const) {
      const body = method === "GET" ? undefined : { nonsense: true };
      expect((await hub.call(method, path, body, "wrong")).status, path).toBe(401);
    }
  });

  it("refuses a wrong PIN, naming the field", async () => {
    expect(await hub.call("POST", "/api/lead/session", { pin: "000000" })).toMatchObject({
      status: 401,
      body: { error: { field: "pin" } },
    });
    expect(await hub.call("POST", "/api/lead/session", { pin: 1 })).toMatchObject({ status: 400 });
  });

  it("saves a plan once per revision, gives every rig its cues and the site its zone", async () => {
    const before = await hub.call("GET", "/api/plan", undefined, token);
    const etag = before.headers.get("etag") ?? "";
    const saved = await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": etag });
    expect(saved.body).toMatchObject({ revision: 1, site: { zone: "Africa/Cairo" } });
    expect(saved.body.rigs[0].cues.length).toBeGreaterThan(8);
    const again = await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": etag });
    expect(again).toMatchObject({ status: 409, body: { error: { code: "stale-plan" } } });
    const read = await hub.call("GET", "/api/plan", undefined, token);
    expect(read.body).toEqual(saved.body);
    expect(read.headers.get("etag")).toBe(saved.headers.get("etag"));
  });

  // RFC 9110, 13.1.1: true where any of the listed ETags is that of what is there.
  it("takes a list of ETags in If-Match, and refuses one in which no ETag of the plan stands", async () => {
    const put = async (match: string) =>
      (await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": match })).status;
    const at = async () => (await hub.call("GET", "/api/plan", undefined, token)).body.revision as number;
    const now = await at();
    expect(await put(`"plan-${now + 7}", W/"rig-2" ,"plan-${now}"`)).toBe(200);
    expect(await put(`"plan-${now}", "plan-${now + 7}"`)).toBe(409);
    for (const match of ['"rig-1", "site-1"', `"plan-${now + 1}", plan`, `"plan-${now + 1}",`])
      expect(await put(match), match).toBe(400);
    expect(await at()).toBe(now + 1);
  });

  it("refuses two rigs of one name, names the field and saves nothing", async () => {
    const before = await hub.call("GET", "/api/plan", undefined, token);
    const rigs = [...LUXOR_PLAN.rigs, { id: "west-2", name: " WEST Telescope ", kind: "tripod-camera" }];
    const etag = before.headers.get("etag") ?? "";
    const refused = await hub.call("PUT", "/api/plan", { ...LUXOR_PLAN, rigs }, token, { "If-Match": etag });
    expect(refused).toMatchObject({
      status: 400,
      body: { error: { code: "bad-input", field: `rigs.${rigs.length - 1}.name` } },
    });
    expect((await hub.call("GET", "/api/plan", undefined, token)).body).toEqual(before.body);
  });

  it("refuses a plan whole when one field is wrong, naming it", async () => {
    const { body: plan, headers } = await hub.call("GET", "/api/plan", undefined, token);
    const wrong = structuredClone(plan);
    wrong.rigs[1].focalLengthMm = -5;
    const match = { "If-Match": headers.get("etag") ?? "" };
    const refused = await hub.call("PUT", "/api/plan", wrong, token, match);
    expect(refused).toMatchObject({ status: 400, body: { error: { field: "rigs.1.focalLengthMm" } } });
    expect((await hub.call("GET", "/api/plan", undefined, token)).body).toEqual(plan);
  });

  it("refuses a cue that breaks an eye rule, with the rule's number and its field (S3)", async () => {
    const { body: plan, headers } = await hub.call("GET", "/api/plan", undefined, token);
    const wrong = structuredClone(plan);
    wrong.rigs[0].lookedThrough = true;
    const cue = wrong.rigs[0].cues.find((item: any) => item.action === "filter-off");
    cue.offsetS = -300;
    const match = { "If-Match": headers.get("etag") ?? "" };
    const refused = await hub.call("PUT", "/api/plan", wrong, token, match);
    expect(refused.status).toBe(400);
    expect(refused.body.error).toMatchObject({ code: "safety-rule", rule: "S3" });
    expect(refused.body.error.field).toMatch(/^rigs\.0\.cues\.\d+\.offsetS$/);
  });

  it("gives a link with the token in the fragment, and a new one revokes it", async () => {
    const { body } = await hub.call("GET", "/api/rigs/west/link", undefined, token);
    expect(body.url).toBe(`${hub.url}/rig#west.${body.token}`);
    const report = { id: "first", atUtcMs: Date.now(), filter: "on" };
    expect((await hub.call("POST", "/api/rigs/west/reports", report, body.token)).status).toBe(200);
    const next = await hub.call("POST", "/api/rigs/west/link", undefined, token);
    expect(next.body.token).not.toBe(body.token);
    // Over sockets, too, what was queued by an old link is taken, and marked (SPEC L8, R4).
    const late = { id: "late", atUtcMs: Date.now(), filter: "on" };
    expect(await hub.call("POST", "/api/rigs/west/reports", late, body.token)).toMatchObject({
      status: 200,
      body: { ok: true, notes: ["link revoked"] },
    });
    const { events } = (await hub.call("GET", "/api/log.json", undefined, token)).body;
    expect(events.find((item: any) => item.commandId === "late").payload.flags).toEqual(["link revoked"]);
    expect((await hub.call("POST", "/api/rigs/west/reports", late, `${body.token}x`)).status).toBe(401);
  });
});

describe("a body that is compressed", () => {
  it("is refused before it is unpacked, however much it would unpack to", async () => {
    const { gzipSync } = await import("node:zlib");
    const bomb = gzipSync(Buffer.alloc(200_000_000, " "));
    expect(bomb.length).toBeLessThan(300_000);
    for (const [method, path] of [
      ["PUT", "/api/plan"],
      ["POST", "/api/orders"],
    ] as const) {
      const before = process.memoryUsage().rss;
      const response = await fetch(`${hub.url}${path}`, {
        method,
        body: bomb,
        headers: {
          Authorization: `Bearer ${token}`,
          "Content-Type": "application/json",
          "Content-Encoding": "gzip",
        },
      });
      expect(response.status).toBe(400);
      expect(await response.json()).toMatchObject({
        error: { code: "bad-input", field: "Content-Encoding" },
      });
      expect(process.memoryUsage().rss - before).toBeLessThan(100_000_000);
    }
  });
});

describe("what a save did besides what was asked", () => {
  it("is told in the body, for sixty rigs too, and the answer may be put back as it is", async () => {
    const rigs = Array.from({ length: 60 }, (_, n) => ({
      id: `r${n}`,
      name: `Rig ${n}`,
      kind: "tripod-camera",
    }));
    const put = (plan: unknown) => hub.call("PUT", "/api/plan", plan, token, { "If-Match": "*" });
    const here = await put({ ...LUXOR_PLAN, rigs });
    expect(here.body.notes).toBeUndefined();
    // Near Cairo the eclipse is partial: every list is derived anew.
    const moved = await put({ ...here.body, site: { ...LUXOR_PLAN.site, latDeg: 30.2, lonDeg: 31.3 } });
    expect(moved.status).toBe(200);
    const derived = moved.body.notes.filter(({ code }: any) => code === "cues-derived");
    expect(derived.map(({ rigId }: any) => rigId)).toEqual(rigs.map(({ id }) => id));
    expect([...moved.headers.values()].join("").length).toBeLessThan(2000);
    const again = await put(moved.body);
    expect(again.status).toBe(200);
    const read = (await hub.call("GET", "/api/plan", undefined, token)).body;
    expect(read).toEqual({ ...moved.body, notes: undefined, revision: moved.body.revision + 1 });
    await put(LUXOR_PLAN);
  });
});

describe("a plan that would lose something by mistake", () => {
  const put = async (body: string, headers: Record<string, string> = {}) => {
    const { headers: read } = await hub.call("GET", "/api/plan", undefined, token);
    const response = await fetch(`${hub.url}/api/plan`, {
      method: "PUT",
      body,
      headers: {
        Authorization: `Bearer ${token}`,
        "Content-Type": "application/json",
        "If-Match": read.get("etag") ?? "",
        ...headers,
      },
    });
    return { status: response.status, body: (await response.json()) as { error: { field?: string } } };
  };

  it.each([
    ["", "body"],
    ["{}", "body"],
    ["[]", "body"],
    ['[{"eclipse":"2027-08-02"}]', "body"],
    ['{"group":"Renamed"}', "eclipse"],
    ['{"eclipse":"2027-08-02","rigs":[]}', "site"],
    ['{"eclipse":"2027-08-02","site":null}', "rigs"],
  ])("%s is refused and names %s", async (body, field) => {
    const before = (await hub.call("GET", "/api/plan", undefined, token)).body;
    expect(before.rigs.length).toBeGreaterThan(0);
    expect(await put(body)).toMatchObject({ status: 400, body: { error: { code: "bad-input", field } } });
    expect((await hub.call("GET", "/api/plan", undefined, token)).body).toEqual(before);
  });

  it("a time zone that no clock knows is refused and names its field", async () => {
    const plan = { ...LUXOR_PLAN, site: { ...LUXOR_PLAN.site, zone: "Mars/Olympus" } };
    const answer = await put(JSON.stringify(plan));
    expect(answer).toMatchObject({ status: 400, body: { error: { field: "site.zone" } } });
  });
});

describe("what a rig reports", () => {
  let rig: string;
  beforeAll(async () => {
    rig = (await hub.call("GET", "/api/rigs/west/link", undefined, token)).body.token;
  });

  it("answers a repeat of the same id the same, and logs it once", async () => {
    const report = { id: "card-1", atUtcMs: Date.now(), cardFreeGB: 12.5 };
    const one = await hub.call("POST", "/api/rigs/west/reports", report, rig);
    const two = await hub.call("POST", "/api/rigs/west/reports", report, rig);
    expect(two.body).toEqual(one.body);
    const { body } = await hub.call("GET", "/api/log.json", undefined, token);
    const logged = body.events.filter((item: any) => item.commandId === "card-1");
    expect(logged).toHaveLength(1);
    expect(logged[0]).toMatchObject({
      type: "rigReported",
      observedUtcMs: report.atUtcMs,
      actor: "rig:west",
    });
  });

  it("refuses the same id with another body", async () => {
    const report = { id: "card-1", atUtcMs: Date.now(), cardFreeGB: 3 };
    expect(await hub.call("POST", "/api/rigs/west/reports", report, rig)).toMatchObject({
      status: 409,
      body: { error: { code: "reused-id" } },
    });
  });

  it.each([
    [{ id: "x", atUtcMs: 5, filter: "on" }, "atUtcMs"],
    [{ id: "x", atUtcMs: Date.now(), filter: "half" }, "filter"],
    [{ id: "x", atUtcMs: Date.now(), batteryPct: 101 }, "batteryPct"],
    [{ id: "x", atUtcMs: Date.now(), colour: "red" }, "colour"],
    [{ atUtcMs: Date.now(), filter: "on" }, "id"],
    [{ id: "x", atUtcMs: Date.now() }, "body"],
  ])("names the field that is wrong in %j", async (report, field) => {
    const { status, body } = await hub.call("POST", "/api/rigs/west/reports", report, rig);
    expect(status).toBe(400);
    expect(body.error.field).toBe(field);
  });

  it("does not let one rig speak for another", async () => {
    const report = { id: "y", atUtcMs: Date.now(), filter: "on" };
    expect((await hub.call("POST", "/api/rigs/wide/reports", report, rig)).status).toBe(401);
  });

  it("shows in the run, with alerts (S1: exposed and off is danger)", async () => {
    const started = await hub.call("POST", "/api/practice", { anchor: "C2", offsetS: -180, rate: 1 }, token);
    expect(started.status).toBe(201);
    await hub.call("POST", "/api/rigs/west/reports", { id: "off", atUtcMs: Date.now(), filter: "off" }, rig);
    const { body } = await hub.call("GET", "/api/run", undefined, token);
    expect(body).toMatchObject({ runId: started.body.runId, kind: "practice" });
    expect(body.rigs[0]).toMatchObject({ id: "west", operator: "Ada", filter: "off", cardFreeGB: 12.5 });
    expect(body.alerts[0]).toMatchObject({ priority: "danger", cause: "exposed", rigId: "west" });
    expect((await hub.call("DELETE", "/api/practice", undefined, token)).status).toBe(204);
    const after = await hub.call("GET", "/api/run", undefined, token);
    // The real filter is what it was (S8); but as it was last said to be off, somebody has to look (S9).
    expect(after.body).toMatchObject({ kind: "real", alerts: [{ cause: "filter-disputed", rigId: "west" }] });
    expect(after.body.alerts).toHaveLength(1);
    expect(after.body.rigs[0].filter).toBe("on");
  });
});

/** Writes so many events of a kind at once, as a busy disk does with what came while it was at work. */
class GatheringLog extends MemoryLog {
  private open: () => void = () => undefined;
  private opened = Promise.resolve();
  private left = 0;
  private type = "";

  gather(count: number, type: string): void {
    this.left = count;
    this.type = type;
    this.opened = new Promise((resolve) => {
      this.open = resolve;
    });
  }

  override async append(entry: AppendEntry): Promise<void> {
    await super.append(entry);
    if (!entry.events.some(({ type }) => type === this.type)) return;
    this.left -= 1;
    if (this.left === 0) this.open();
    await this.opened;
  }
}

describe("practices that leads start in one moment", () => {
  it("are told to each by the run that is theirs, and the last goes on", async () => {
    const log = new GatheringLog();
    const own = await startTestHub(log);
    try {
      const lead = await own.signIn();
      await own.call("PUT", "/api/plan", LUXOR_PLAN, lead, { "If-Match": "*" });
      const offsets = [-300, -250, -200, -150, -100];
      log.gather(offsets.length, "practiceStarted");
      const answers = await Promise.all(
        offsets.map((offsetS) => own.call("POST", "/api/practice", { anchor: "C2", offsetS, rate: 1 }, lead)),
      );
      const { events } = (await own.call("GET", "/api/log.json", undefined, lead)).body;
      const started = events.filter(({ type }: any) => type === "practiceStarted");
      for (const [index, offsetS] of offsets.entries()) {
        const { runId, endsAtUtcMs } = answers[index]?.body ?? {};
        expect(started.find((one: any) => one.runId === runId)?.payload).toMatchObject({
          offsetS,
          endsAtUtcMs,
        });
      }
      expect((await own.call("GET", "/api/run", undefined, lead)).body.runId).toBe(started.at(-1).runId);
    } finally {
      await own.stop();
    }
  });
});

describe("the log as a file", () => {
  // Content-Disposition: RFC 6266, 4.1; the name ends as its form does and says which run it holds.
  it("has a name with its run and its form", async () => {
    for (const form of ["json", "csv"]) {
      const all = await hub.call("GET", `/api/log.${form}`, undefined, token);
      expect(all.headers.get("content-disposition")).toBe(`attachment; filename="noonfall-log.${form}"`);
      const one = await hub.call("GET", `/api/log.${form}?run=a%22%2Fb-1`, undefined, token);
      expect(one.headers.get("content-disposition")).toBe(
        `attachment; filename="noonfall-log-a--b-1.${form}"`,
      );
    }
  });
});

describe("the log as a table", () => {
  it("has no cell that a spreadsheet takes for a formula", async () => {
    const { cell } = await import("../../../hub/http/csv.ts");
    expect(cell('=HYPERLINK("x")')).toBe(`"'=HYPERLINK(""x"")"`);
    expect(cell("-1+1")).toBe(`"'-1+1"`);
    expect(cell(-1)).toBe("-1");
    expect(cell("  =1+1")).toBe(`"'  =1+1"`);
    // A semicolon locale cuts the line at `;` and takes a quote in the middle for text.
    expect(cell("x;=HYPERLINK(1)")).toBe(`"x;'=HYPERLINK(1)"`);
    expect(cell('x;"=1"')).toBe(`"x;""'=1"""`);
    expect(cell("x\t-1")).toBe(`"x\t'-1"`);
    expect(cell("x; +1")).toBe(`"x;' +1"`);
    expect(cell("x\r\n@sum")).toBe(`"x\r\n'@sum"`);
    expect(cell("a;b")).toBe(`"a;b"`);
    // What holds no separator but commas stays as it is, negative numbers in JSON among it.
    expect(cell('{"a":[1,-5]}')).toBe(`"{""a"":[1,-5]}"`);
    const { body } = await hub.call("GET", "/api/log.csv", undefined, token);
    expect(body.split("\r\n")[0]).toMatch(
      /^seq,runId,type,actor,observedUtc,loggedUtc,boundMs,deviceId,commandId,payload,filter,/,
    );
  });
});

describe("what the hub says of its interface", () => {
  it("names the success that each route answers, and the header that guards the plan", async () => {
    const { body } = await hub.call("GET", "/api/openapi.json");
    const codes = (path: string, method: string) =>
      Object.keys(body.paths[path][method].responses).filter((code) => code !== "default");
    expect(codes("/api/practice", "post")).toEqual(["201"]);
    expect(codes("/api/practice", "delete")).toEqual(["204"]);
    expect(codes("/api/lead/session", "delete")).toEqual(["204"]);
    expect(codes("/api/plan", "put")).toEqual(["200"]);
    expect(body.paths["/api/plan"].put.parameters).toMatchObject([{ name: "If-Match", in: "header" }]);
  });

  // JSON Schema 2020-12, 10.3.1: OpenAPI 3.1 speaks it; a list of schemas in "items" is of older drafts.
  it("speaks JSON Schema 2020-12, tuples included", async () => {
    const schema = (await hub.call("GET", "/api/plan.schema.json")).body;
    expect(schema.$schema).toBe("https://json-schema.org/draft/2020-12/schema");
    const point = JSON.stringify(schema).match(/"skyline":\{.*?"prefixItems":\[/);
    expect(point).not.toBeNull();
    for (const of of [schema, (await hub.call("GET", "/api/openapi.json")).body]) {
      expect(JSON.stringify(of)).not.toMatch(/"additionalItems"|"items":\[/);
    }
  });
});
