/** The single writer: once, in order, only what was committed, and one bug hurts one command. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { type AppendEntry, type EventLog, LogError } from "../../../hub/log/event-log.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { SqliteLog } from "../../../hub/log/sqlite-log.ts";
import { type KeeperPorts, SiteKeeper } from "../../../hub/site/site-keeper.ts";
import { localEclipse } from "../../../shared/plan/local-eclipse.ts";
import type { RigDraft } from "../../../shared/plan/model/plan.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import type { Order } from "../../../shared/run/orders/commands.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { draft, SiteWorld } from "../../shared/run/site-world.ts";

const NOW = Date.UTC(2027, 6, 25);
const say = (text: string): Order => ({ type: "sendMessage", text, rigIds: null });
/** Of a plan without rigs: one event. */
const save = (group: string, ifRevision: number): Order => ({
  type: "savePlan",
  draft: draft({ group, rigs: [] }),
  ifRevision,
});

const folder = mkdtempSync(join(tmpdir(), "noonfall-keeper-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Spoils the event of one command, so that no log can write it. */
function spoiling(log: EventLog, commandId: string): EventLog {
  const append = log.append.bind(log);
  log.append = (entry) =>
    append(
      entry.commandId === commandId
        ? { ...entry, events: entry.events.map((event) => ({ ...event, runId: undefined as never })) }
        : entry,
    );
  return log;
}

/** A log whose disk can be full. */
class FaultyLog extends MemoryLog {
  full = false;
  override append(entry: AppendEntry): Promise<void> {
    if (this.full) return Promise.reject(new LogError("write-failed", "the disk is full"));
    return super.append(entry);
  }
}

function keeperOn<Log extends EventLog = FaultyLog>(
  log = new FaultyLog() as EventLog as Log,
  ports: Partial<KeeperPorts> = {},
) {
  const bugs: unknown[] = [];
  const unwritten: unknown[] = [];
  const clock = { now: NOW };
  let ids = 0;
  const keeper = new SiteKeeper({
    log,
    now: () => utcMs(clock.now),
    clockHealth: () => GOOD_CLOCK,
    newId: () => `id-${++ids}`,
    solve: new SiteWorld().context(NOW).solve,
    zoneAt: () => "Africa/Cairo",
    onBug: (error) => bugs.push(error),
    onUnwritten: (error) => unwritten.push(error),
    ...ports,
  });
  const order = (id: string, body: Order) => keeper.order("lead:a", "lead:Ada", id, body);
  const fact = (id: string, batteryPct: number, sender = "device:1") =>
    keeper.fact({ sender, actor: "rig:west", deviceId: "1", linkRevoked: false }, id, {
      v: 1,
      rigId: "west",
      runId: null,
      deviceSeq: batteryPct,
      observedUtcMs: NOW,
      boundMs: null,
      report: { batteryPct },
    });
  return { keeper, log, bugs, unwritten, clock, order, fact };
}

const texts = (keeper: SiteKeeper) => keeper.state.messages.map((message) => message.text);

describe("once", () => {
  it("a command with the same id and body happens once, at the same time and later", async () => {
    const { order, keeper } = keeperOn();
    const [one, two] = await Promise.all([order("a", say("Hello")), order("a", say("Hello"))]);
    expect(two).toEqual(one);
    expect(await order("a", say("Hello"))).toEqual(one);
    expect(texts(keeper)).toEqual(["Hello"]);
  });

  it("also when the keys of the body come in another order, and after a restart", async () => {
    const { order, log } = keeperOn();
    const first = await order("a", { type: "sendMessage", text: "Hello", rigIds: null });
    const again = keeperOn(log);
    expect(await again.order("a", { rigIds: null, text: "Hello", type: "sendMessage" })).toEqual(first);
    expect(texts(again.keeper)).toEqual(["Hello"]);
  });

  it("an id used for something else is refused, at the same time and later; another sender may use it", async () => {
    const { order, keeper } = keeperOn();
    const [one, two] = await Promise.all([order("a", say("Hello")), order("a", say("Other"))]);
    expect(one.ok).toBe(true);
    expect(two).toMatchObject({ refusal: { code: "reused-id", field: "id" } });
    expect(await order("a", say("Third"))).toMatchObject({ refusal: { code: "reused-id" } });
    expect(await keeper.order("lead:b", "lead:Ben", "a", say("Ben's"))).toMatchObject({ ok: true });
    expect(texts(keeper)).toEqual(["Hello", "Ben's"]);
  });

  it("a refused command leaves its id free", async () => {
    const { order } = keeperOn();
    expect(await order("a", { type: "endPractice" })).toMatchObject({ refusal: { code: "no-practice" } });
    expect(await order("a", say("Hello"))).toMatchObject({ ok: true });
  });
});

describe("in order", () => {
  it("commands of one moment share a transaction and build on each other", async () => {
    const { order, keeper, log } = keeperOn();
    const answers = await Promise.all([
      order("a", save("One", 0)),
      order("b", save("Two", 1)),
      order("c", save("Three", 1)),
    ]);
    expect(answers.map((answer) => answer.ok)).toEqual([true, true, false]);
    expect(keeper.state.plan).toMatchObject({ group: "Two", revision: 2 });
    expect([...log.read()].map((event) => event.seq)).toEqual([1, 2]);
  });

  it("nothing is told before it is committed", async () => {
    const { order, keeper, log } = keeperOn();
    const told: number[] = [];
    keeper.on("events", (events: SiteEvent[]) => {
      for (const event of events) {
        expect(event.seq).toBeLessThanOrEqual(log.lastSeq());
        told.push(event.seq);
      }
    });
    const pending = Promise.all([order("a", say("One")), order("b", say("Two"))]);
    expect(told).toEqual([]);
    expect(keeper.state.seq).toBe(0);
    await pending;
    expect(told).toEqual([1, 2]);
  });

  it("cover is the exception: told at once (S7)", async () => {
    const { order, keeper } = keeperOn();
    const covers: string[] = [];
    keeper.on("cover", (by) => covers.push(by));
    const pending = order("a", { type: "cover" });
    expect(covers).toEqual(["lead:Ada"]);
    // Latched from the broadcast on: who comes in now is covered, too.
    expect(keeper.state).toMatchObject({ seq: 0, cover: { by: "lead:Ada", sinceUtcMs: NOW } });
    await pending;
    expect(keeper.state).toMatchObject({ seq: 1, cover: { by: "lead:Ada" } });
  });
});

describe("cover every lens (S7)", () => {
  const COVER: Order = { type: "cover" };
  const RELEASE: Order = { type: "releaseCover" };
  function watched(log = new FaultyLog()) {
    const made = keeperOn(log);
    const covers: string[] = [];
    const released: number[] = [];
    made.keeper.on("cover", (by) => covers.push(by));
    made.keeper.on("events", (events: SiteEvent[]) => {
      for (const event of events) if (event.type === "coverReleased") released.push(event.seq);
    });
    return { ...made, covers, released };
  }
  const typesIn = (log: MemoryLog) => [...log.read()].map((event) => event.type);

  it("is told and latched though it cannot be written, and written when it can be, once", async () => {
    const { order, keeper, log, covers } = watched();
    await order("p", save("One", 0));
    log.full = true;
    expect(await order("a", COVER)).toMatchObject({ ok: false, refusal: { code: "internal" } });
    expect(covers).toEqual(["lead:Ada"]);
    expect(keeper.state).toMatchObject({ seq: 1, cover: { by: "lead:Ada" } });
    expect(await order("t", { type: "call", call: "totality" })).toMatchObject({ ok: false });
    log.full = false;
    await order("b", say("Other things go on."));
    expect(keeper.state).toMatchObject({ seq: 2, cover: { by: "lead:Ada" } });
    await new Promise((resolve) => setTimeout(resolve, 1050));
    keeper.logCover();
    keeper.logCover();
    await order("c", say("Wait for the write."));
    keeper.logCover();
    await order("d", say("And once more."));
    expect(typesIn(log).filter((type) => type === "coverOrdered")).toHaveLength(1);
    expect(await order("a", COVER)).toMatchObject({ ok: true });
    expect(covers).toHaveLength(1);
    expect(await order("r", RELEASE)).toMatchObject({ ok: true });
    expect(keeper.state.cover).toBeNull();
  });

  it("is released though the log knows of none: what pages heard before a crash ends", async () => {
    const { log } = watched();
    const again = watched(log);
    expect(await again.order("r", RELEASE)).toMatchObject({ ok: true, seq: 1 });
    expect(again.released).toEqual([1]);
    // Not in the log yet, but in force:
    log.full = true;
    await again.order("a", COVER);
    log.full = false;
    expect(await again.order("s", RELEASE)).toMatchObject({ ok: true, seq: 2 });
    expect(again.keeper.state.cover).toBeNull();
    expect(again.released).toEqual([1, 2]);
  });

  it("is not given again by a late repeat of an order that was released since", async () => {
    const { order, keeper, covers } = watched();
    const first = await order("a", COVER);
    await order("r", RELEASE);
    expect(await order("a", COVER)).toEqual(first);
    expect(covers).toHaveLength(1);
    expect(keeper.state.cover).toBeNull();
  });

  it("is told once when it is sent twice at one time", async () => {
    const { order, covers } = watched();
    const [one, two] = await Promise.all([order("a", COVER), order("a", COVER)]);
    expect(two).toEqual(one);
    expect(covers).toHaveLength(1);
  });

  it("under an id used for something else is refused and not told", async () => {
    const { order, covers, keeper } = watched();
    await order("a", say("Hello"));
    expect(await order("a", COVER)).toMatchObject({ refusal: { code: "reused-id" } });
    expect(covers).toEqual([]);
    expect(keeper.state.cover).toBeNull();
  });

  it("given while a release is written outlasts it, and is told again after it", async () => {
    const { order, covers, keeper, released } = watched();
    await order("a", COVER);
    const releasing = order("r", RELEASE);
    // In the next turn of the loop, so that the release is committed first.
    const second = new Promise((resolve) => process.nextTick(() => resolve(order("b", COVER))));
    await Promise.all([releasing, second]);
    expect(released).toEqual([2]);
    expect(covers).toHaveLength(3);
    expect(keeper.state.cover).toMatchObject({ by: "lead:Ada" });
    await order("s", RELEASE);
    expect(keeper.state.cover).toBeNull();
  });
});

describe("a bug", () => {
  it("in deciding one command refuses that one, is told, and the others go on", async () => {
    let broken = true;
    const solve: KeeperPorts["solve"] = (...args) => {
      if (broken) throw new TypeError("a bug in the solver");
      return new SiteWorld().context(NOW).solve(...args);
    };
    const { order, fact, keeper, bugs, log } = keeperOn(new FaultyLog(), { solve });
    const answers = await Promise.all([
      order("a", say("Before")),
      order("b", save("Broken", 0)),
      order("c", say("After")),
      fact("f", 50),
    ]);
    expect(answers.map((answer) => answer.ok)).toEqual([true, false, true, true]);
    expect(answers[1]).toMatchObject({ refusal: { code: "internal" } });
    expect(bugs).toMatchObject([{ message: "a bug in the solver" }]);
    expect([...log.read()].map((event) => event.type)).toEqual(["messageSent", "messageSent", "rigReported"]);
    broken = false;
    expect(await order("b", save("Mended", 0))).toMatchObject({ ok: true });
    expect(keeper.state.plan.group).toBe("Mended");
  });
});

describe("an entry that no log can write", () => {
  it.each<[string, () => EventLog]>([
    ["in memory", () => new MemoryLog()],
    ["in a file", () => new SqliteLog(join(folder, "spoiled.sqlite"))],
  ])("is refused alone (%s): what was decided beside it is done, a cover among it", async (_where, open) => {
    const log = spoiling(open(), "bad");
    const { order, fact, keeper, bugs } = keeperOn(log);
    const covers: string[] = [];
    keeper.on("cover", (by) => covers.push(by));
    const answers = await Promise.all([
      order("a", save("One", 0)),
      fact("bad", 50),
      order("cover", { type: "cover" }),
      fact("good", 49),
      order("b", save("Two", 1)),
    ]);
    expect(answers.map((answer) => answer.ok)).toEqual([true, false, true, true, true]);
    expect(answers[1]).toMatchObject({ refusal: { code: "internal" } });
    expect(bugs).toMatchObject([{ code: "bad-entry" }]);
    expect(covers).toHaveLength(1);
    expect(keeper.state).toMatchObject({ seq: 4, plan: { group: "Two" }, cover: { by: "lead:Ada" } });
    const logged = [...log.read()];
    expect(logged.map((event) => event.seq)).toEqual([1, 2, 3, 4]);
    // A save is worked out beside the rest: what comes meanwhile does not wait for it.
    const ids = logged.map((event) => event.commandId);
    expect([...ids].sort()).toEqual(["a", "b", "cover", "good"]);
    expect(ids.indexOf("a")).toBeLessThan(ids.indexOf("b"));
    expect(answers[4]).toMatchObject({ seq: ids.indexOf("b") + 1 });
    await log.close();
  });
});

describe("a write that fails", () => {
  it("refuses everything of its moment, leaves no trace, and the next one goes through", async () => {
    const { order, fact, keeper, log, unwritten } = keeperOn();
    await order("a", save("One", 0));
    const before = keeper.state;
    log.full = true;
    const answers = await Promise.all([
      order("b", save("Two", 1)),
      order("c", save("Three", 2)),
      fact("f", 40),
    ]);
    for (const answer of answers) expect(answer).toMatchObject({ ok: false, refusal: { code: "internal" } });
    expect(keeper.state).toBe(before);
    expect(unwritten).toHaveLength(3);
    log.full = false;
    // The same ids again, as clients send them: they were not used up.
    expect(await order("b", save("Two", 1))).toMatchObject({ ok: true, seq: 2 });
    expect(await fact("f", 40)).toMatchObject({ ok: true, seq: 3 });
    expect(keeper.state.plan.group).toBe("Two");
    expect([...log.read()].map((event) => event.seq)).toEqual([1, 2, 3]);
  });

  it("again and again, while facts keep coming, loses none that was acknowledged", async () => {
    const { fact, keeper, log } = keeperOn();
    const acknowledged: string[] = [];
    for (let n = 0; n < 60; n++) {
      log.full = n % 3 === 1;
      const ids = [`x${n}`, `y${n}`];
      const answers = await Promise.all(ids.map((id) => fact(id, n)));
      for (const [index, answer] of answers.entries()) {
        expect(answer.ok).toBe(!log.full);
        if (answer.ok) acknowledged.push(ids[index] as string);
      }
    }
    const logged = [...log.read()];
    expect(logged.map((event) => event.commandId)).toEqual(acknowledged);
    expect(logged.map((event) => event.seq)).toEqual(logged.map((_, index) => index + 1));
    expect(keeper.state.seq).toBe(logged.length);
  });
});

describe("a save that is decided ahead", () => {
  it("takes no rig away whose filter is said to be off meanwhile (S9)", async () => {
    const { keeper, clock, order } = keeperOn();
    const rig = (id: string) => ({ ...draft().rigs[0], id, name: id }) as RigDraft;
    const rigs = ["west", ...Array.from({ length: 90 }, (_, n) => `rig-${n}`)].map(rig);
    const plan = (which: RigDraft[], ifRevision: number): Order => {
      return { type: "savePlan", draft: draft({ rigs: which }), ifRevision };
    };
    expect(await order("a", plan(rigs, 0))).toMatchObject({ ok: true });
    const { c2 } = localEclipse(keeper.state.circumstances).contacts;
    clock.now = Number(c2) - 40_000;
    // Every rig is settled anew, which takes many pieces.
    const others = rigs.slice(1).map((one) => ({ ...one, focalLengthMm: 300 }));
    const saving = order("b", plan(others, 1));
    const said = { v: 1, rigId: "west", runId: null, deviceSeq: 1, boundMs: null } as const;
    await keeper.fact({ sender: "device:1", actor: "rig:west", deviceId: "1", linkRevoked: false }, "off", {
      ...said,
      observedUtcMs: clock.now,
      report: { filter: "off" },
    });
    expect(keeper.state.plan.rigs).toHaveLength(91);
    expect(await saving).toMatchObject({ refusal: { rule: "S9", data: { rigId: "west" } } });
    expect(keeper.state.plan.rigs[0]?.id).toBe("west");
  });
});

describe("after a restart", () => {
  it("the state is what it was, from the events or from a saved state and those after it", async () => {
    const { order, fact, keeper, log } = keeperOn();
    await order("a", save("One", 0));
    await order("b", { type: "startPractice", anchor: "C2", offsetS: -60, rate: 2 });
    await fact("f", 61);
    const plain = JSON.parse(JSON.stringify(keeper.state));
    expect(JSON.parse(JSON.stringify(keeperOn(log).keeper.state))).toEqual(plain);
    keeper.snapshot();
    await fact("g", 60);
    const later = keeperOn(log);
    expect(JSON.parse(JSON.stringify(later.keeper.state))).toEqual(JSON.parse(JSON.stringify(keeper.state)));
    expect(await later.fact("h", 59)).toMatchObject({ ok: true, seq: 5 });
  });

  it("a practice whose end has passed is ended in the record, once (S8)", async () => {
    const { order, keeper, clock, log } = keeperOn();
    await order("a", save("One", 0));
    await order("b", { type: "startPractice", anchor: "C2", offsetS: -60, rate: 1 });
    keeper.endOverduePractice();
    expect(keeper.state.practice).not.toBeNull();
    clock.now = keeper.state.practice?.endsAtUtcMs ?? 0;
    keeper.endOverduePractice();
    keeper.endOverduePractice();
    await order("c", say("Wait for the write."));
    const ended = [...log.read()].filter((event) => event.type === "practiceEnded");
    expect(ended).toMatchObject([{ payload: { reason: "limit" } }]);
    expect(keeper.state.practice).toBeNull();
  });
});
