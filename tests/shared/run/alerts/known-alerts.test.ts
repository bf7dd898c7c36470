/** What leads say to alerts, as the state keeps it (SPEC R21). */
import { describe, expect, it } from "vitest";
import { neverShelved, stoodBefore } from "../../../../shared/run/alerts/answerable.ts";
import type { AlertPriority } from "../../../../shared/run/alerts/priority.ts";
import { RIG_ALERTS } from "../../../../shared/run/alerts/rig-alerts.ts";
import type { AlertChange } from "../../../../shared/run/events.ts";
import { draftOf } from "../../../../shared/run/orders/decision.ts";
import { isStillSaid } from "../../../../shared/run/run-time.ts";
import type { AlertAnswer } from "../../../../shared/run/vocabulary.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { asJson, replayed, SiteWorld } from "../site-world.ts";

const T0 = Date.UTC(2027, 7, 2, 9);

function site(from = T0) {
  const world = SiteWorld.planned();
  let at = from;
  const note = (
    type: "alertRaised" | "alertCleared",
    cause: string,
    priority: AlertPriority,
    rigId = "west",
  ) => {
    at += 1000;
    const payload: AlertChange = { id: `${cause}:${rigId}`, cause, priority, rigId, sinceUtcMs: utcMs(at) };
    world.take([draftOf(world.context(at), world.state.realRunId, type, payload)], at);
  };
  const answer = (alertId: string, say: AlertAnswer, forS = 600) => {
    at += 1000;
    return world.order({ type: "answerAlert", alertId, answer: say, forS }, at);
  };
  return { world, note, answer, now: () => at, of: (id: string) => world.state.alerts[id] };
}

describe("an alert that stands", () => {
  it("is taken by one lead, seen by that, and left again", () => {
    const { note, answer, of } = site();
    note("alertRaised", "link-lost", "caution");
    expect(of("link-lost:west")).toMatchObject({ takenBy: null, seenBy: null });
    answer("link-lost:west", "taken");
    expect(of("link-lost:west")).toMatchObject({ takenBy: "lead:Ada", seenBy: "lead:Ada" });
    answer("link-lost:west", "left");
    expect(of("link-lost:west")?.takenBy).toBeNull();
  });

  it("is taken by the first of two leads who say so at once; the other is told, and may take it once it is left", () => {
    const { world, note, answer, of } = site();
    note("alertRaised", "exposed", "danger");
    answer("exposed:west", "taken");
    world.lead = "lead:Ben";
    expect(answer("exposed:west", "taken")).toMatchObject({
      refusal: { code: "taken", field: "answer", data: { by: "lead:Ada" } },
    });
    expect(of("exposed:west")?.takenBy).toBe("lead:Ada");
    answer("exposed:west", "left");
    answer("exposed:west", "taken");
    expect(of("exposed:west")?.takenBy).toBe("lead:Ben");
  });

  it("is shelved for a stated time, brought back, and gone when it is over", () => {
    const { note, answer, of, now } = site();
    note("alertRaised", "card-low", "advice");
    answer("card-low:west", "shelved", 300);
    expect(of("card-low:west")?.shelvedUntilUtcMs).toBe(now() + 300_000);
    answer("card-low:west", "back");
    expect(of("card-low:west")?.shelvedUntilUtcMs).toBeNull();
    note("alertCleared", "card-low", "advice");
    expect(of("card-low:west")).toBeUndefined();
  });

  it("that gets worse is on the list again, and still taken by whoever took it", () => {
    const { note, answer, of } = site();
    note("alertRaised", "battery-low", "advice");
    answer("battery-low:west", "shelved");
    answer("battery-low:west", "taken");
    note("alertRaised", "battery-low", "caution");
    note("alertCleared", "battery-low", "advice");
    expect(of("battery-low:west")).toMatchObject({
      priority: "caution",
      takenBy: "lead:Ada",
      seenBy: null,
      shelvedUntilUtcMs: null,
    });
  });

  it("is refused an answer when none of that name stands, or a made-up name", () => {
    const { answer } = site();
    for (const id of ["exposed:west", "constructor", "__proto__"])
      expect(answer(id, "seen")).toMatchObject({ refusal: { code: "not-found", field: "alertId" } });
  });
});

// S1: eyes come first.
describe("danger, and what eyes hang on,", () => {
  it.each([
    "exposed",
    "practice-off-real-sun",
    "filter-unknown",
    "filter-disputed",
    "filter-late",
    "not-capped",
  ])("can never be shelved: %s", (cause) => {
    const { note, answer, of } = site();
    const { priorities } = RIG_ALERTS[cause as keyof typeof RIG_ALERTS];
    note("alertRaised", cause, priorities[0]);
    expect(answer(`${cause}:west`, "shelved")).toMatchObject({
      refusal: { code: "safety-rule", rule: "S1" },
    });
    expect(of(`${cause}:west`)?.shelvedUntilUtcMs).toBeNull();
  });

  it("danger of any cause neither", () => {
    for (const cause of ["clock-stepped", "disk-full", "cover-latched"])
      expect(neverShelved({ cause, priority: "danger" })).toBe(true);
    expect(neverShelved({ cause: "card-low", priority: "advice" })).toBe(false);
  });
});

describe("danger that is over", () => {
  it("stays until a lead has seen it, unless one had seen it while it stood", () => {
    const { note, answer, of, world } = site();
    note("alertRaised", "exposed", "danger");
    note("alertCleared", "exposed", "danger");
    expect(of("exposed:west")?.overUtcMs).not.toBeNull();
    expect(stoodBefore(world.state)).toEqual([]);
    answer("exposed:west", "seen");
    expect(of("exposed:west")).toBeUndefined();
    note("alertRaised", "exposed", "danger");
    answer("exposed:west", "taken");
    note("alertCleared", "exposed", "danger");
    expect(of("exposed:west")).toBeUndefined();
  });

  it("and comes anew stands anew, taken by nobody", () => {
    const { note, answer, of, world } = site();
    note("alertRaised", "exposed", "danger");
    note("alertCleared", "exposed", "danger");
    note("alertRaised", "exposed", "danger");
    expect(of("exposed:west")).toMatchObject({ overUtcMs: null, takenBy: null });
    expect(stoodBefore(world.state).map(({ id }) => id)).toEqual(["exposed:west"]);
    answer("exposed:west", "seen");
    expect(of("exposed:west")?.overUtcMs).toBeNull();
  });
});

describe("the end of a practice", () => {
  const practised = () => {
    const { world, now, of, answer } = site(T0 - 86_400_000);
    const raise = (
      cause: string,
      priority: AlertPriority,
      rigId: string | null,
      runId: string,
      type: "alertRaised" | "alertCleared" = "alertRaised",
    ) => {
      const id = rigId ? `${cause}:${rigId}` : cause;
      const payload = { id, cause, priority, rigId, sinceUtcMs: utcMs(now()) };
      world.take([draftOf(world.context(now()), runId, type, payload)], now());
    };
    raise("link-lost", "caution", "west", world.state.realRunId);
    answer("link-lost:west", "taken");
    raise("card-low", "advice", "east", world.state.realRunId);
    const runId = world.practise(now());
    return { world, of, answer, now, runId, raise };
  };

  it("takes with it what was raised and said in it, and nothing of the real run", () => {
    const { world, of, answer, now, runId, raise } = practised();
    raise("battery-low", "caution", "west", runId);
    raise("exposed", "danger", "west", runId);
    raise("practice-off-real-sun", "danger", "west", runId);
    raise("disk-full", "danger", null, runId);
    answer("battery-low:west", "taken");
    answer("card-low:east", "shelved");
    world.order({ type: "endPractice" }, now() + 1000);
    // What still stands of these is raised anew, said by nobody.
    expect(Object.keys(world.state.alerts)).toEqual(["link-lost:west"]);
    expect(of("link-lost:west")).toMatchObject({ takenBy: "lead:Ada" });
  });

  it("leaves danger that went by unseen where it was none of the practice", () => {
    const { world, now, runId, raise } = practised();
    for (const [cause, rigId] of [
      ["exposed", "west"],
      ["practice-off-real-sun", "west"],
      ["disk-full", null],
    ] as const) {
      raise(cause, "danger", rigId, runId);
      raise(cause, "danger", rigId, runId, "alertCleared");
    }
    world.order({ type: "endPractice" }, now() + 1000);
    expect(Object.keys(world.state.alerts).sort()).toEqual(
      ["disk-full", "link-lost:west", "practice-off-real-sun:west"].concat("card-low:east").sort(),
    );
  });

  it("is the end of its messages and its roll call, also for whoever starts anew", () => {
    const { world, now } = practised();
    const said = world.state.realRunId;
    world.order({ type: "sendMessage", text: "In it.", rigIds: null, urgent: false }, now() + 1000);
    world.order({ type: "callRoll", rigIds: null, withinS: 300 }, now() + 1000);
    expect(world.state.messages).toHaveLength(1);
    world.order({ type: "endPractice" }, now() + 2000);
    expect(world.state).toMatchObject({ messages: [], roll: null });
    world.order({ type: "sendMessage", text: "After it.", rigIds: null, urgent: false }, now() + 3000);
    expect(world.state.messages).toMatchObject([{ text: "After it.", runId: said }]);
    expect(asJson(replayed(world.log, (event) => event))).toEqual(asJson(world.state));
  });

  it("ends them by itself on a phone that hears of no end (S8)", () => {
    const { world, now, runId } = practised();
    const { endsAtUtcMs } = world.state.practice as { endsAtUtcMs: number };
    const said = (at: number) => isStillSaid(runId, world.state, utcMs(at));
    expect([said(now()), said(endsAtUtcMs - 1), said(endsAtUtcMs)]).toEqual([true, true, false]);
    expect(isStillSaid(world.state.realRunId, world.state, utcMs(endsAtUtcMs))).toBe(true);
  });
});
