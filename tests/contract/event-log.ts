/** What every event log must do: the contract of hub/log/event-log.ts, run on each of them. */
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { EventLog, LoggedEvent } from "../../hub/log/event-log.ts";
import { LogError } from "../../hub/log/event-log.ts";
import { entryOf, eventNumber } from "./event-log-data.ts";

export function eventLogContract(name: string, open: () => EventLog | Promise<EventLog>): void {
  describe(`${name}, as an event log`, () => {
    let log: EventLog;
    beforeEach(async () => {
      log = await open();
    });
    afterEach(() => log.close());

    const codeOf = (call: Promise<unknown>): Promise<unknown> =>
      call.then(
        () => "no error",
        (error: unknown) => (error instanceof LogError ? error.code : error),
      );

    it("begins empty", () => {
      expect(log.lastSeq()).toBe(0);
      expect([...log.read()]).toEqual([]);
      expect(log.epoch.length).toBeGreaterThan(8);
      expect(log.findCommand("rig:west", "c1")).toBeUndefined();
      expect(log.loadSnapshot(1)).toBeUndefined();
      expect(log.getSetting("secret")).toBeUndefined();
      expect(log.readClockSamples(0)).toEqual([]);
    });

    it("gives back every field of an event, nulls and fractions included", async () => {
      const full = eventNumber(1);
      const bare = eventNumber(2, { boundMs: null, deviceId: null, deviceSeq: null, payload: null });
      await log.append(entryOf("c1", [full, bare]));
      expect([...log.read()]).toEqual([full, bare]);
      expect(log.lastSeq()).toBe(2);
    });

    it("keeps a command's answer, also when it made no events", async () => {
      await log.append({
        sender: "lead:Ada",
        commandId: "x",
        bodyHash: "h",
        answer: { code: "no" },
        events: [],
      });
      expect(log.findCommand("lead:Ada", "x")).toEqual({
        sender: "lead:Ada",
        commandId: "x",
        bodyHash: "h",
        answer: { code: "no" },
      });
      expect(log.lastSeq()).toBe(0);
    });

    it("tells the same id of two senders apart", async () => {
      await log.append(entryOf("same", [eventNumber(1)], "rig:west"));
      await log.append(entryOf("same", [eventNumber(2)], "rig:east"));
      await log.append(entryOf("b", [], 'a"'));
      expect(log.findCommand('a"', "b")).toBeDefined();
      expect(log.findCommand("a", '"b')).toBeUndefined();
      expect(log.lastSeq()).toBe(2);
    });

    it("refuses a command that is in the log alone; what was numbered on top of it may come again", async () => {
      await log.append(entryOf("c1", [eventNumber(1)]));
      const before = log.append(entryOf("c0", [eventNumber(2)]));
      const again = log.append(entryOf("c1", [eventNumber(3)]));
      const beside = log.append(entryOf("c2", []));
      const after = log.append(entryOf("c3", [eventNumber(4)]));
      expect(await codeOf(before)).toBe("no error");
      expect(await codeOf(again)).toBe("duplicate");
      expect(await codeOf(beside)).toBe("no error");
      expect(await codeOf(after)).toBe("out-of-order");
      expect(log.lastSeq()).toBe(2);
      expect(log.findCommand("rig:west", "c3")).toBeUndefined();
      await log.append(entryOf("c3", [eventNumber(3)]));
      expect([...log.read()].map((event) => event.commandId)).toEqual(["c1", "c2", "c3"]);
    });

    it.each(["runId", "type", "actor", "commandId", "observedUtcMs", "loggedUtcMs", "v"] as const)(
      "refuses an event without its %s alone, and writes nothing of its command",
      async (field) => {
        const bad = eventNumber(2, { [field]: undefined } as Partial<LoggedEvent>);
        const appends = [
          log.append(entryOf("good", [eventNumber(1)])),
          log.append(entryOf("bad", [bad, eventNumber(3)])),
          log.append(entryOf("beside", [])),
        ];
        expect(await Promise.all(appends.map(codeOf))).toEqual(["no error", "bad-entry", "no error"]);
        expect(log.lastSeq()).toBe(1);
        expect(log.findCommand("rig:west", "bad")).toBeUndefined();
        await log.append(entryOf("bad", [eventNumber(2)]));
        expect(log.lastSeq()).toBe(2);
      },
    );

    it("refuses a payload that cannot be written alone", async () => {
      const payload: Record<string, unknown> = {};
      payload.self = payload;
      const bad = log.append(entryOf("bad", [eventNumber(1, { payload })]));
      const good = log.append(entryOf("good", [eventNumber(1)]));
      expect(await codeOf(bad)).toBe("bad-entry");
      expect(await codeOf(good)).toBe("no error");
      expect([...log.read()].map((event) => event.seq)).toEqual([1]);
    });

    it("refuses a gap or a repeat in the numbers", async () => {
      expect(await codeOf(log.append(entryOf("c1", [eventNumber(2)])))).toBe("out-of-order");
      expect(await codeOf(log.append(entryOf("c1", [eventNumber(1), eventNumber(1)])))).toBe("out-of-order");
      expect(log.lastSeq()).toBe(0);
      expect(log.findCommand("rig:west", "c1")).toBeUndefined();
    });

    it("commits calls in their order and resolves after the commit", async () => {
      const seen: number[] = [];
      await Promise.all(
        Array.from({ length: 50 }, (_, index) =>
          log.append(entryOf(`c${index + 1}`, [eventNumber(index + 1)])).then(() => {
            expect(log.lastSeq()).toBeGreaterThan(index);
            expect(log.findCommand("rig:west", `c${index + 1}`)).toBeDefined();
            seen.push(index + 1);
          }),
        ),
      );
      expect(seen).toEqual(Array.from({ length: 50 }, (_, index) => index + 1));
      expect([...log.read()].map((event) => event.seq)).toEqual(seen);
    });

    it("shows nothing before it is committed", async () => {
      const appended = log.append(entryOf("c1", [eventNumber(1)]));
      expect(log.lastSeq()).toBe(0);
      expect(log.findCommand("rig:west", "c1")).toBeUndefined();
      await appended;
      expect(log.lastSeq()).toBe(1);
    });

    it("reads by run, from a number on, and no more than asked", async () => {
      const events = Array.from({ length: 2500 }, (_, index) =>
        eventNumber(index + 1, { runId: index % 2 ? "practice" : "real" }),
      );
      await log.append(entryOf("many", events));
      const seqs = (filter: Parameters<EventLog["read"]>[0]): number[] =>
        [...log.read(filter)].map((event) => event.seq);
      expect(seqs({})).toHaveLength(2500);
      expect(seqs({ runId: "practice" })).toHaveLength(1250);
      expect(seqs({ runId: "practice", afterSeq: 2490 })).toEqual([2492, 2494, 2496, 2498, 2500]);
      expect(seqs({ afterSeq: 10, limit: 3 })).toEqual([11, 12, 13]);
      expect(seqs({ afterSeq: 2500 })).toEqual([]);
      expect(seqs({ limit: 0 })).toEqual([]);
      expect(seqs({ runId: "none" })).toEqual([]);
      expect(seqs({ limit: 2001 })).toHaveLength(2001);
    });

    it("can be written while it is read, and the reader stays with what there was", async () => {
      await log.append(
        entryOf(
          "many",
          Array.from({ length: 1500 }, (_, index) => eventNumber(index + 1)),
        ),
      );
      let seen = 0;
      for (const event of log.read()) {
        seen = event.seq;
        if (event.seq === 3) await log.append(entryOf("late", [eventNumber(1501)]));
      }
      expect(seen).toBe(1500);
      expect(log.lastSeq()).toBe(1501);
    });

    it("keeps what it was given, not what became of it later", async () => {
      const payload = { filter: "on" };
      const answer = { ok: true };
      await log.append({ ...entryOf("c1", [eventNumber(1, { payload })]), answer });
      payload.filter = "off";
      answer.ok = false;
      const [first] = log.read();
      expect(first?.payload).toEqual({ filter: "on" });
      expect(log.findCommand("rig:west", "c1")?.answer).toEqual({ ok: true });
    });

    it("keeps one snapshot for each version of evolve, the last one saved", async () => {
      await log.append(
        entryOf(
          "twelve",
          Array.from({ length: 12 }, (_, i) => eventNumber(i + 1)),
        ),
      );
      log.saveSnapshot(1, 10, { rigs: ["a"] });
      log.saveSnapshot(2, 11, { rigs: ["b"] });
      log.saveSnapshot(1, 12, { rigs: ["c"] });
      expect(log.loadSnapshot(1)).toEqual({ seq: 12, state: { rigs: ["c"] } });
      expect(log.loadSnapshot(2)).toEqual({ seq: 11, state: { rigs: ["b"] } });
      expect(log.loadSnapshot(3)).toBeUndefined();
    });

    it("keeps settings of any JSON kind and removes them", () => {
      for (const value of [{ a: [1, null] }, "text", 0, false, null]) {
        log.setSetting("key", value);
        expect(log.getSetting("key")).toEqual(value);
      }
      log.setSetting("key", undefined);
      expect(log.getSetting("key")).toBeUndefined();
    });

    it("reads for a state what it reads otherwise, less what no state hangs on", async () => {
      const events = [
        eventNumber(1, { type: "rigReported" }),
        eventNumber(2, { runId: "practice-1" }),
        eventNumber(3, { type: "rigReported", runId: "practice-1" }),
        eventNumber(4, { type: "rigReported" }),
      ];
      await log.append(entryOf("c1", events));
      const plain = events.map((event) => ({ ...event, commandId: "", boundMs: null }));
      expect([...log.readForState(0)]).toEqual(plain);
      expect([...log.readForState(2)]).toEqual(plain.slice(2));
    });

    it("reads a run together with what was decided in others, without their reports", async () => {
      await log.append(
        entryOf("c1", [
          eventNumber(1, { type: "planSaved", runId: "real" }),
          eventNumber(2, { type: "rigReported", runId: "real" }),
          eventNumber(3, { type: "rigReported", runId: "practice-1" }),
          eventNumber(4, { type: "called", runId: "real" }),
        ]),
      );
      const seqs = [...log.read({ runId: "practice-1", withDecisions: true })].map(({ seq }) => seq);
      expect(seqs).toEqual([1, 3, 4]);
    });

    it("reads of many reports those that say something, of one run or of every practice, to an end", async () => {
      const report = (seq: number, runId: string, said: object) =>
        eventNumber(seq, { type: "rigReported", runId, payload: { rigId: "west", flags: [], ...said } });
      await log.append(
        entryOf("c1", [
          report(1, "real", { filter: "on" }),
          report(2, "practice-1", { batteryPct: 4 }),
          report(3, "practice-1", { cueDone: "cap" }),
          report(4, "practice-2", { filter: "off" }),
          eventNumber(5, { type: "called", runId: "real" }),
        ]),
      );
      const wanted = { withDecisions: true, saying: ["filter", "cueDone"] };
      const seqs = (filter: object) => [...log.read({ ...wanted, ...filter })].map(({ seq }) => seq);
      expect(seqs({ runId: "practice-1" })).toEqual([3, 5]);
      expect(seqs({ practices: true })).toEqual([3, 4, 5]);
      expect(seqs({ practices: true, untilSeq: 3 })).toEqual([3]);
      expect(seqs({ practices: true, untilSeq: 4, afterSeq: 3 })).toEqual([4]);
    });

    it("reads reports that say any of however many fields are asked for", async () => {
      const fields = ["filter", "cueDone", "cueSkipped", "cueReopened", "frames", "lastFrameUtcMs"];
      const report = (seq: number, field: string) =>
        eventNumber(seq, { type: "rigReported", runId: "real", payload: { rigId: "west", [field]: 1 } });
      const said = fields.map((field, i) => report(i + 1, field));
      await log.append(entryOf("c1", [...said, report(7, "batteryPct")]));
      const seqs = (saying?: string[]) =>
        [...log.read({ runId: "real", withDecisions: true, ...(saying && { saying }) })].map(
          ({ seq }) => seq,
        );
      expect(seqs(fields)).toEqual([1, 2, 3, 4, 5, 6]);
      expect(seqs(fields.slice(4))).toEqual([5, 6]);
      expect(seqs()).toEqual([1, 2, 3, 4, 5, 6, 7]);
    });

    it("proves that it can be written, and leaves no trace of it", async () => {
      await log.append(entryOf("c1", [eventNumber(1)]));
      log.proveWritable();
      expect(log.lastSeq()).toBe(1);
      expect([...log.read()]).toEqual([eventNumber(1)]);
    });

    it("gives clock samples in order of time from an instant on", () => {
      const sample = (at: number) => ({
        utcMs: at,
        deviceId: "d1",
        offsetMs: -1.25,
        boundMs: 2,
        delayMs: 3.5,
      });
      log.addClockSamples([sample(30), sample(10)]);
      log.addClockSamples([sample(20)]);
      expect(log.readClockSamples(20)).toEqual([sample(20), sample(30)]);
      expect(log.readClockSamples(0)).toHaveLength(3);
    });

    it("commits what is under way when it is closed, and then takes no more", async () => {
      const appended = log.append(entryOf("c1", [eventNumber(1)]));
      await log.close();
      await appended;
      expect(await codeOf(log.append(entryOf("c2", [eventNumber(2)])))).toBe("write-failed");
      await log.close();
    });

    it("reads back what was appended, whatever the batches and filters", async () => {
      await fc.assert(
        fc.asyncProperty(
          fc.array(fc.array(fc.record({ run: fc.constantFrom("a", "b"), payload: fc.jsonValue() })), {
            maxLength: 8,
          }),
          fc.record({ after: fc.nat(12), limit: fc.nat(12), run: fc.constantFrom("a", "b", undefined) }),
          async (batches, { after, limit, run }) => {
            const fresh = await open();
            try {
              const model: LoggedEvent[] = [];
              const appends = batches.map((batch, number) => {
                const events = batch.map((event) => {
                  const payload = JSON.parse(JSON.stringify(event.payload)) as unknown;
                  const made = eventNumber(model.length + 1, { runId: event.run, payload });
                  model.push(made);
                  return made;
                });
                return fresh.append(entryOf(`batch ${number}`, events));
              });
              await Promise.all(appends);
              const expected = model
                .filter((event) => event.seq > after && (run === undefined || event.runId === run))
                .slice(0, limit);
              const filter = { afterSeq: after, limit, ...(run === undefined ? {} : { runId: run }) };
              expect([...fresh.read(filter)]).toEqual(expected);
            } finally {
              await fresh.close();
            }
          },
        ),
        { numRuns: 40 },
      );
    });
  });
}
