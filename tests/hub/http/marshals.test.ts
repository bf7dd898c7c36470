/** Marshals: their link opens their desk and nothing else; what they report is kept and answered. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let lead: string;
let marshal: string;
beforeEach(async () => {
  hub = await startTestHub();
  lead = await hub.signIn();
  marshal = (await hub.call("GET", "/api/marshals/link", undefined, lead)).body.token;
});
afterEach(() => hub.stop());

const report = (id: string, more: object = {}, token = marshal) =>
  hub.call("POST", "/api/marshals/reports", { id, matter: "child", place: "gate", ...more }, token);
const desk = async () => (await hub.call("GET", "/api/marshals/desk", undefined, lead)).body;

describe("marshals", () => {
  it("come in by a link that a lead gives, with the board's key in it", async () => {
    const { body } = await hub.call("GET", "/api/marshals/link", undefined, lead);
    expect(body.url).toBe(`${hub.url}/marshal#token=${marshal}&key=${hub.parts.boardKey}`);
    expect((await hub.call("GET", "/api/marshals/link")).status).toBe(401);
    expect((await hub.call("GET", "/api/marshals/link", undefined, marshal)).status).toBe(401);
  });

  it("report in one tap, are answered, and hear the lead's words", async () => {
    expect((await report("r-1")).status).toBe(200);
    expect(await desk()).toMatchObject({
      reports: [{ id: "r-1", matter: "child", place: "gate", answer: null }],
    });
    await hub.call("POST", "/api/marshals/reports/r-1/answer", { answer: "on it" }, lead);
    await hub.call("POST", "/api/marshals/messages", { id: "m-1", text: "Glasses stay on." }, lead);
    const { body } = await hub.call("GET", "/api/marshals", undefined, marshal);
    expect(body).toMatchObject({
      reports: [{ id: "r-1", answer: "on it" }],
      words: [{ text: "Glasses stay on." }],
    });
    expect(
      (await hub.call("POST", "/api/marshals/reports/none/answer", { answer: "done" }, lead)).status,
    ).toBe(404);
  });

  it("are counted by the pages that have shown a lead's words and those that have not yet; no other is", async () => {
    const look = (page?: string) =>
      hub.call("GET", `/api/marshals${page === undefined ? "" : `?page=${page}`}`, undefined, marshal);
    for (const page of ["one", "two"]) await look(page);
    await hub.call("POST", "/api/marshals/messages", { id: "m-1", text: "Glasses stay on." }, lead);
    expect((await desk()).words).toMatchObject([{ id: "m-1", seen: 0, of: 2 }]);
    await look("one");
    await look("one");
    // One that lies in a pocket says no name.
    await look();
    const { words } = await desk();
    expect(words).toMatchObject([{ id: "m-1", seen: 1, of: 2 }]);
    expect((await look("x".repeat(81))).body.error.field).toBe("page");
    expect((await look("one")).body.words).toEqual([
      { id: "m-1", text: "Glasses stay on.", atUtcMs: words[0].atUtcMs },
    ]);
  });

  it("say a thing once, however often it is sent; the same id for another matter is refused", async () => {
    const first = await report("r-1");
    expect((await report("r-1")).body).toEqual(first.body);
    expect((await report("r-1", { matter: "medical" })).status).toBe(409);
    expect((await desk()).reports).toHaveLength(1);
    for (const [wrong, field] of [
      [{ matter: "fire" }, "matter"],
      [{ place: "x".repeat(41) }, "place"],
    ] as const)
      expect((await report("r-2", wrong)).body.error.field).toBe(field);
  });

  it("are believed when they tapped: a phone that was away tells it later, none of the future or of last week", async () => {
    const now = hub.clock.now();
    const at = async (id: string, atUtcMs: number) => (await report(id, { atUtcMs })).body.atUtcMs - now;
    expect(await at("r-1", now - 600_000)).toBe(-600_000);
    expect(Math.abs(await at("r-2", now + 600_000))).toBeLessThan(5000);
    expect(Math.abs((await at("r-3", now - 7 * 86_400_000)) + 86_400_000)).toBeLessThan(5000);
    expect((await report("r-4", { atUtcMs: "noon" })).body.error.field).toBe("atUtcMs");
    // The same again, by a page of before that does not say when.
    expect((await report("r-1")).status).toBe(200);
  });

  it("are marked where they report during a practice, which may be real all the same", async () => {
    await hub.call("PUT", "/api/plan", LUXOR_PLAN, lead, { "If-Match": '"plan-0"' });
    await hub.call("POST", "/api/practice", { anchor: "C2", offsetS: -180, rate: 1 }, lead);
    expect((await report("r-1")).body.practice).toBe(true);
    await hub.call("DELETE", "/api/practice", undefined, lead);
    expect((await report("r-2")).body.practice).toBeUndefined();
    expect((await desk()).reports).toMatchObject([{ id: "r-2" }, { id: "r-1", practice: true }]);
  });

  it("cannot flood the desk by saying that they tapped long ago", async () => {
    const now = hub.clock.now();
    let last = 0;
    for (let n = 0; n < 61; n++) last = (await report(`r-${n}`, { atUtcMs: now - 600_000 })).status;
    expect(last).toBe(429);
  });

  it("read no plan, no rig and no log, and give no orders", async () => {
    await hub.call("PUT", "/api/plan", LUXOR_PLAN, lead, { "If-Match": '"plan-0"' });
    for (const path of [
      "/api/plan",
      "/api/run",
      "/api/log.json",
      "/api/crowd",
      "/api/marshals/desk",
      "/api/rigs/west/link",
    ])
      expect((await hub.call("GET", path, undefined, marshal)).status, path).toBe(401);
    expect(
      (await hub.call("POST", "/api/orders", { id: "o", order: { type: "cover" } }, marshal)).status,
    ).toBe(401);
    expect((await hub.call("POST", "/api/rigs/west/reports", { id: "x" }, marshal)).status).toBe(401);
    const rig = (await hub.call("GET", "/api/rigs/west/link", undefined, lead)).body.token;
    for (const token of [rig, lead, ""]) expect((await report("r-9", {}, token)).status).toBe(401);
  });

  it("lose their link when there is a new one", async () => {
    const { token } = (await hub.call("POST", "/api/marshals/link", {}, lead)).body;
    expect(token).not.toBe(marshal);
    expect((await report("r-1")).status).toBe(401);
    expect((await report("r-1", {}, token)).status).toBe(200);
  });

  it("are kept over a restart, within bounds, and a flood is told to wait", async () => {
    const log = new MemoryLog();
    const other = await startTestHub(log);
    try {
      const token = await other.signIn();
      const link = (await other.call("GET", "/api/marshals/link", undefined, token)).body.token;
      const answers: number[] = [];
      for (let n = 0; n < 65; n++)
        answers.push(
          (await other.call("POST", "/api/marshals/reports", { id: `r-${n}`, matter: "glasses" }, link))
            .status,
        );
      expect(answers.filter((status) => status === 200)).toHaveLength(60);
      expect(answers.at(-1)).toBe(429);
      expect(JSON.stringify(log.getSetting("marshals"))).toContain("r-59");
    } finally {
      await other.stop();
    }
  });
});
