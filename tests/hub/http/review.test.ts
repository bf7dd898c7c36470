/** A run against its plan over the interface: what was reported comes back scored. */
import Papa from "papaparse";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { entryOf, eventNumber } from "../../contract/event-log-data.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { loopTurns } from "../../support/loop-turns.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let lead: string;
let runId: string;
const rigId = LUXOR_PLAN.rigs[0]?.id as string;

beforeAll(async () => {
  hub = await startTestHub();
  lead = await hub.signIn();
  const [west, ...others] = LUXOR_PLAN.rigs;
  const rigs = [{ ...west, operator: '=Zoé, "Ada"' }, ...others];
  await hub.call("PUT", "/api/plan", { ...LUXOR_PLAN, rigs }, lead);
  const practice = await hub.call("POST", "/api/practice", { anchor: "C2", offsetS: -20, rate: 1 }, lead);
  runId = practice.body.runId;
  const { token } = (await hub.call("GET", `/api/rigs/${rigId}/link`, undefined, lead)).body;
  const report = (id: string, more: object) =>
    hub.call("POST", `/api/rigs/${rigId}/reports`, { id, atUtcMs: hub.clock.now(), ...more }, token);
  await report("one", { filter: "on" });
  await report("two", { filter: "off", cueDone: "filter-off" });
  await report("three", { filter: "on" });
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

describe("GET /api/review", () => {
  it("scores what was confirmed, measures what was open, and leaves out what is due later", async () => {
    const { status, body } = await hub.call("GET", `/api/review?run=${runId}`, undefined, lead);
    expect(status).toBe(200);
    expect(body).toMatchObject({ runId, kind: "practice" });
    const mine = body.cues.filter((cue: { rigId: string }) => cue.rigId === rigId);
    expect(mine.find((cue: { cueId: string }) => cue.cueId === "filter-off")).toMatchObject({
      score: "on time",
    });
    expect(mine.some((cue: { cueId: string }) => cue.cueId === "filter-on")).toBe(false);
    const filter = body.filters.find((one: { rigId: string }) => one.rigId === rigId);
    expect(filter.openS).toBeGreaterThan(0);
    expect(filter.openS).toBeLessThan(10);
    expect(body.alerts.perTenMinutes).toBeGreaterThanOrEqual(0);
  });

  it("gives it as a table, a row a fact, with the same figures", async () => {
    const { body: review } = await hub.call("GET", `/api/review?run=${runId}`, undefined, lead);
    const response = await fetch(`${hub.url}/api/review.csv?run=${runId}`, {
      headers: { Authorization: `Bearer ${lead}` },
    });
    expect(response.headers.get("content-type")).toContain("text/csv; charset=utf-8");
    const bytes = Buffer.from(await response.arrayBuffer());
    // By the mark spreadsheets know UTF-8 (Unicode Standard 2.13), else "é" is spoilt.
    expect([...bytes.subarray(0, 3)]).toEqual([0xef, 0xbb, 0xbf]);
    const text = bytes.subarray(3).toString("utf8");
    // RFC 4180 as another library reads it.
    expect(text.endsWith("\r\n")).toBe(true);
    const { data, errors } = Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true });
    expect(errors).toEqual([]);
    expect(Object.keys(data[0] ?? {})).toEqual(
      "fact,rig,operator,what,due_utc,at_utc,until_utc,late_s,lasted_s,after_c3_s,result,why,by".split(","),
    );
    const mine = data.filter(({ fact, operator }) => fact === "cue" && operator === '\'=Zoé, "Ada"');
    const cues = review.cues.filter((cue: { rigId: string }) => cue.rigId === rigId);
    expect(mine.map(({ what, result }) => [what, result])).toEqual(
      cues.map(({ cueId, score }: { cueId: string; score: string }) => [cueId, score]),
    );
    const off = data.filter(({ fact, rig }) => fact === "filter off" && rig === "West telescope");
    const { open, openS } = review.filters.find((one: { rigId: string }) => one.rigId === rigId);
    expect(off).toHaveLength(open.length);
    expect(Number(off[0]?.lasted_s)).toBeCloseTo(openS, 1);
    expect(data.filter(({ fact }) => fact === "alert")).toHaveLength(review.alerts.raised);
    expect(data.flatMap((row) => Object.values(row)).filter((cell) => /^[{[=+@]/.test(cell))).toEqual([]);
  });

  it("names what is wrong, and is for leads alone", async () => {
    for (const path of ["/api/review", "/api/review.csv"]) {
      expect((await hub.call("GET", `${path}?run=${runId}`)).status).toBe(401);
      // Without one named it is the run that is on.
      expect((await hub.call("GET", path, undefined, lead)).status).toBe(200);
      for (const unknown of ["practice-none", "__proto__"]) {
        const { status, body } = await hub.call("GET", `${path}?run=${unknown}`, undefined, lead);
        expect([400, 404]).toContain(status);
        expect(body.error.field).toBe("run");
      }
    }
  });
});

describe("the run that is asked for", () => {
  it("is known and empty where nothing was planned, and where nothing was said", async () => {
    const fresh = await startTestHub();
    const token = await fresh.signIn();
    const nothing = await fresh.call("GET", "/api/review", undefined, token);
    expect(nothing.status).toBe(200);
    expect(nothing.body).toMatchObject({ runId: "real-unplanned", kind: "real", cues: [], filters: [] });
    expect((await fresh.call("GET", "/api/review.csv", undefined, token)).status).toBe(200);
    await fresh.call("PUT", "/api/plan", LUXOR_PLAN, token);
    const { body } = await fresh.call("GET", "/api/review?run=real-2027-08-02", undefined, token);
    expect(body).toMatchObject({ cues: [], calls: [], alerts: { raised: 0, perTenMinutes: 0, byCause: {} } });
    expect(body.filters).toMatchObject(LUXOR_PLAN.rigs.map(({ id }) => ({ rigId: id, openS: 0 })));
    await fresh.stop();
  });

  it("takes a report that arrives after the end for what it says of the time before", async () => {
    const other = await startTestHub();
    const token = await other.signIn();
    await other.call("PUT", "/api/plan", LUXOR_PLAN, token);
    const begun = await other.call("POST", "/api/practice", { anchor: "C2", offsetS: -20, rate: 20 }, token);
    const { token: link } = (await other.call("GET", `/api/rigs/${rigId}/link`, undefined, token)).body;
    const atUtcMs = other.clock.now();
    await other.call("DELETE", "/api/practice", undefined, token);
    await other.call(
      "POST",
      `/api/rigs/${rigId}/reports`,
      { id: "late", atUtcMs, cueDone: "filter-off" },
      link,
    );
    const path = `/api/review?run=${begun.body.runId}`;
    const { body } = await other.call("GET", path, undefined, token);
    const done = body.cues.find((cue: { cueId: string }) => cue.cueId === "filter-off");
    expect(done).toMatchObject({ rigId, score: "on time" });
    const real = await other.call("GET", "/api/review?run=real-2027-08-02", undefined, token);
    expect(real.body.cues).toEqual([]);
    await other.stop();
  });
});

it("a long log is gone through in pieces, with everything else in between", async () => {
  const log = new MemoryLog();
  const payload = { rigId: "west", flags: [], cueDone: "filter-off" };
  const ROWS = 20_000;
  await log.append(
    entryOf(
      "many",
      Array.from({ length: ROWS }, (_, i) =>
        eventNumber(i + 1, { type: "rigReported", runId: "real-unplanned", payload }),
      ),
    ),
  );
  const other = await startTestHub(log);
  const token = await other.signIn();
  const turns = await loopTurns(other.call("GET", "/api/review?run=real-unplanned", undefined, token));
  expect(turns).toBeGreaterThanOrEqual(ROWS / 500);
  await other.stop();
});

it("plans that an earlier program saved whole are read one at a time, with everything else in between", async () => {
  const world = SiteWorld.planned();
  const { plan, circumstances } = world.state;
  const [west] = plan.rigs;
  const rigs = Array.from({ length: 60 }, (_, i) => ({ ...west, id: `r${i}`, name: `Rig ${i}` }));
  const payload = { plan: { ...plan, rigs }, circumstances, placeChanged: false, by: "lead:ann" };
  const SAVES = 40;
  const log = new MemoryLog();
  const saves = Array.from({ length: SAVES }, (_, i) =>
    eventNumber(i + 1, { type: "planSaved", runId: world.state.realRunId, payload }),
  );
  await log.append(entryOf("saves", saves));
  const other = await startTestHub(log);
  const token = await other.signIn();
  const path = `/api/review?run=${world.state.realRunId}`;
  const turns = await loopTurns(other.call("GET", path, undefined, token));
  expect(turns).toBeGreaterThanOrEqual(SAVES);
  await other.stop();
});
