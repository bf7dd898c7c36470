/** Long computations leave time for everything else, and are not done twice. */
import { describe, expect, it } from "vitest";
import { ComputeQueue, MOST_WAITING } from "../../hub/compute-queue.ts";
import type { Steps } from "../../shared/eclipse/steps.ts";

/** A computation of so many steps; `trace` sees each begin. */
function* counting(name: string, steps: number, trace: string[] = []): Steps<string> {
  for (let n = 0; n < steps; n++) {
    trace.push(name);
    yield;
  }
  return `done ${name}`;
}

/** A step that is a piece of its own: other work has its turn after it. */
function* heavy(name: string, steps: number, trace: string[]): Steps<string> {
  for (let n = 0; n < steps; n++) {
    trace.push(name);
    const since = performance.now();
    while (performance.now() - since < 3) {
      // Some ms of a computation.
    }
    yield;
  }
  return `done ${name}`;
}

describe("long computations", () => {
  it("are done one at a time, in their order, with other work between the steps", async () => {
    const queue = new ComputeQueue();
    const trace: string[] = [];
    const other = setInterval(() => trace.push("other"), 0);
    const beat = (): void => {
      if (trace.at(-1) === "end") return;
      trace.push("beat");
      setImmediate(beat);
    };
    setImmediate(beat);
    const results = await Promise.all(
      ["a", "b"].map((name) => queue.work("visitor", name, () => heavy(name, 5, trace))),
    );
    clearInterval(other);
    trace.push("end");
    expect(results).toEqual([{ result: "done a" }, { result: "done b" }]);
    expect(trace.filter((item) => item === "a" || item === "b").join("")).toBe("aaaaabbbbb");
    expect(trace.join(" ")).not.toContain("a a");
  });

  it("that take very long let those behind them have their turns", async () => {
    const queue = new ComputeQueue();
    const trace: string[] = [];
    const ended: string[] = [];
    const ask = async (name: string, steps: number) => {
      const done = await queue.work("lead", name, () => heavy(name, steps, trace));
      expect(done).toEqual({ result: `done ${name}` });
      ended.push(name);
    };
    await Promise.all([ask("check", 90), ask("place", 5), ask("chart", 30)]);
    expect(ended).toEqual(["place", "chart", "check"]);
    expect(trace.indexOf("place")).toBeLessThan(30);
    expect(trace).toHaveLength(125);
  });

  it("are done once for all who ask the same, at one time and later", async () => {
    const queue = new ComputeQueue();
    const trace: string[] = [];
    const ask = () => queue.work("visitor", "same", () => counting("x", 1, trace));
    const results = await Promise.all([ask(), ask(), ask()]);
    results.push(await ask());
    for (const result of results) expect(result).toEqual({ result: "done x" });
    expect(trace).toEqual(["x"]);
  });

  it("are never refused to who asks one after another, only to who leaves very many waiting", async () => {
    const queue = new ComputeQueue();
    for (let n = 0; n < 3 * MOST_WAITING.ofOne; n++)
      expect(await queue.work("checker", `after ${n}`, () => counting("x", 1))).toBeDefined();
    const crowd = Array.from({ length: MOST_WAITING.ofOne + 1 }, (_, n) =>
      queue.work("loud", `loud ${n}`, () => counting("x", 2)),
    );
    const calm = queue.work("calm", "calm", () => counting("x", 2));
    const answers = await Promise.all(crowd);
    expect(answers.filter((answer) => answer === undefined)).toHaveLength(1);
    expect(answers.at(-1)).toBeUndefined();
    expect(await calm).toBeDefined();
    expect(await queue.work("loud", "again", () => counting("x", 1))).toBeDefined();
  });

  it("that fail are told to who asked, cost the next nothing, and are tried again", async () => {
    const queue = new ComputeQueue();
    const failing = queue.work("v", "bad", () => {
      throw new Error("a bug");
    });
    const next = queue.work("v", "good", () => counting("good", 1));
    await expect(failing).rejects.toThrow("a bug");
    expect(await next).toEqual({ result: "done good" });
    expect(await queue.work("v", "bad", () => counting("bad", 1))).toEqual({ result: "done bad" });
  });
});
