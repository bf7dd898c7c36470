/**
 * Every bound of a schema is one that the store keeps: whatever is let in at the front door is
 * written to a real file and comes back from it as it was. 2^63 is where SQLite's integers end
 * (sqlite.org/datatype3.html), 2^53 where JavaScript's do (ECMA-262, Number.MAX_SAFE_INTEGER).
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { SqliteLog } from "../../../hub/log/sqlite-log.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { evolve } from "../../../shared/run/evolve.ts";
import { EMPTY_STATE } from "../../../shared/run/state.ts";
import { upcast } from "../../../shared/run/upcasts.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { closeClients, connect, type RawClient } from "./raw-client.ts";

const FIRST_UTC_MS = 631_152_000_000;
const LAST_UTC_MS = 4_133_980_800_000;

let folder: string;
let log: SqliteLog;
let hub: TestHub;
let token: string;
let lead: RawClient;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-extremes-"));
  log = new SqliteLog(join(folder, "site.db"));
  hub = await startTestHub(log);
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
  lead = connect(hub, { role: "lead", token, protocol: PROTOCOL, deviceId: "x".repeat(80) });
  expect(await lead.door).toBeUndefined();
});
afterAll(async () => {
  closeClients();
  await hub.stop();
  rmSync(folder, { recursive: true, force: true });
  expect(hub.errors).toEqual([]);
});

/** Texts at the edges of a length, of the kinds that files and JSON stumble over. */
const text = (most: number) =>
  fc.constantFrom(
    "a",
    "x".repeat(most),
    "\u0000".repeat(most),
    "\u{1F311}".repeat(most / 2),
    "\uFFFF\u202E'\"\\\n",
    "ظ".repeat(most),
    "\uD800",
  );
const edges = (least: number, most: number) =>
  fc.constantFrom(
    least,
    most,
    (least + most) / 2,
    least + 5e-324,
    Math.max(least, most - 0.1),
    Math.max(least, 0),
  );
const flag = fc.boolean();
const checkId = fc.oneof(text(40), fc.constantFrom("", "level"));
const report = fc
  .record(
    {
      filter: fc.constantFrom("on", "off", "unknown", "capped"),
      looked: flag,
      cardFreeGB: edges(0, 100_000),
      batteryPct: edges(0, 100),
      tracking: flag,
      focused: flag,
      recording: flag,
      sky: fc.constantFrom("clear", "thin", "broken", "overcast"),
      cueDone: text(60),
      cueSkipped: text(60),
      cueReopened: text(60),
      help: flag,
      sawTotality: flag,
      practiceSafe: flag,
      checks: fc.dictionary(checkId, flag, { maxKeys: 60 }),
      armed: fc.record({ screen: flag, sound: flag, voice: flag, vibration: flag }),
    },
    { requiredKeys: [] },
  )
  .filter((fields) => Object.keys(fields).length > 0);
const fact = fc.record({
  v: fc.constant(1),
  rigId: fc.oneof(fc.constantFrom("west", "wide"), text(80)),
  runId: fc.oneof(fc.constant(null), text(80)),
  deviceSeq: fc.constantFrom(0, 1, 2 ** 31, 2 ** 32, Number.MAX_SAFE_INTEGER),
  observedUtcMs: edges(FIRST_UTC_MS, LAST_UTC_MS),
  boundMs: fc.oneof(fc.constant(null), edges(0, 1e9)),
  report,
});

let ids = 0;
const freshId = () => `${++ids}`.padEnd(80, "i");

describe("every extreme that is let in", () => {
  it("of a report is written, comes back as it was, and folds to the state that was live", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(fact, { minLength: 1, maxLength: 8 }), async (facts) => {
        const batch = facts.map((one) => ({ id: freshId(), fact: one }));
        const answers = await lead.ask("facts", batch);
        for (const answer of answers) expect(answer).toMatchObject({ ok: true });
        const from = answers[0].seq as number;
        for (const [index, event] of [...log.read({ afterSeq: from - 1 })]
          .filter(({ commandId }) => batch.some(({ id }) => id === commandId))
          .entries()) {
          const sent = facts[index];
          expect(event.commandId).toBe(batch[index]?.id);
          expect(event.boundMs).toBe(sent?.boundMs);
          // Words on a filter of very many devices are not told apart, and numbered anew (R16).
          if (event.deviceId === "x".repeat(80)) expect(event.deviceSeq).toBe(sent?.deviceSeq);
        }
        // Sixty messages in a second are a page's limit.
        await new Promise((resolve) => setTimeout(resolve, 20));
      }),
      { numRuns: 120 },
    );
    let state = EMPTY_STATE;
    for (const event of log.read()) state = evolve(state, upcast(event));
    expect(JSON.parse(JSON.stringify(state))).toEqual(JSON.parse(JSON.stringify(hub.parts.keeper.state)));
  });

  it.each([
    ["deviceSeq", { deviceSeq: Number.MAX_SAFE_INTEGER + 1 }],
    ["deviceSeq", { deviceSeq: 2 ** 63 }],
    ["deviceSeq", { deviceSeq: 1e300 }],
    ["deviceSeq", { deviceSeq: -1 }],
    ["deviceSeq", { deviceSeq: 0.5 }],
    ["observedUtcMs", { observedUtcMs: LAST_UTC_MS + 1 }],
    ["boundMs", { boundMs: 1e300 }],
    ["runId", { runId: "x".repeat(81) }],
    ["report.cueDone", { report: { cueDone: "x".repeat(61) } }],
  ])("what goes beyond is refused by its field (%s, %j)", async (field, wrong) => {
    const good = { v: 1, rigId: "west", deviceSeq: 1, observedUtcMs: Date.now(), report: { help: true } };
    const [answer] = await lead.ask("facts", [{ id: freshId(), fact: { ...good, ...wrong } }]);
    expect(answer).toMatchObject({ ok: false, refusal: { code: "bad-input", field } });
  });

  it("of an order is written", async () => {
    const order = fc.oneof(
      fc.record({
        type: fc.constant("shiftContact"),
        contact: fc.constantFrom("c1", "c2", "max", "c3", "c4"),
        shiftS: edges(-600, 600),
      }),
      fc.record({
        type: fc.constant("sendMessage"),
        text: text(200),
        rigIds: fc.constantFrom(null, [], ["west"]),
      }),
      fc.record({
        type: fc.constant("startPractice"),
        anchor: fc.constantFrom("C1", "C2", "max", "C3", "C4"),
        offsetS: edges(-4 * 3600, 4 * 3600),
        rate: edges(1, 20),
      }),
      fc.constantFrom({ type: "cover" }, { type: "releaseCover" }, { type: "endPractice" }),
    );
    await fc.assert(
      fc.asyncProperty(order, async (one) => {
        const answer = await lead.ask("order", { id: freshId(), order: one });
        // For the state it may be refused, and a text of blanks for its form; never for the store.
        if (!answer.ok) expect(answer.refusal.code).not.toBe("internal");
        await new Promise((resolve) => setTimeout(resolve, 20));
      }),
      { numRuns: 60 },
    );
  });

  it("of what a device says of itself does no harm", async () => {
    const huge = Number.MAX_VALUE;
    for (const pulse of [
      { boundMs: huge, utcBoundMs: huge, armed: true, ownClockOffsetMs: huge },
      { boundMs: -huge, utcBoundMs: -huge, armed: true, ownClockOffsetMs: -huge },
      { boundMs: 5e-324, utcBoundMs: 0, armed: false, ownClockOffsetMs: 5e-324 },
    ])
      lead.socket.emit("pulse", pulse);
    expect(await lead.ask("probe", { t1: huge })).toBeDefined();
    const [answer] = await lead.ask("facts", [
      {
        id: freshId(),
        fact: { v: 1, rigId: "west", deviceSeq: 1, observedUtcMs: Date.now(), report: { help: true } },
      },
    ]);
    expect(answer).toMatchObject({ ok: true });
    expect(log.readClockSamples(0).length).toBeGreaterThan(0);
  });
});
