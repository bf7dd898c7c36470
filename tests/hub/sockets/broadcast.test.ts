/** What goes past others on its way to sockets leaves nobody with the older word (S7). */
import { expect, it } from "vitest";
import { Broadcast } from "../../../hub/sockets/broadcast.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";

type Listener = (value: unknown) => void;

function rehearsal() {
  const told: string[] = [];
  const heard: Record<string, Listener> = {};
  const room = (name: string) => ({
    to: (other: string) => room(`${name}+${other}`),
    emit: (what: string, value: readonly SiteEvent[]) =>
      told.push(`${name}: ${what === "events" ? value.map(({ type }) => type).join(" ") : what}`),
  });
  const state = { cover: null as { by: string } | null };
  const keeper = {
    state,
    on: (what: string, listener: Listener) => Object.assign(heard, { [what]: listener }),
  };
  const silent = { subscribe: () => undefined, onChange: () => undefined };
  const ports = { io: { to: room }, keeper, boards: silent, alerts: silent, presence: silent };
  const broadcast = new Broadcast(ports as unknown as ConstructorParameters<typeof Broadcast>[0]);
  const event = (type: string, payload: unknown = {}) => ({ seq: 1, type, payload }) as unknown as SiteEvent;
  const long = Array.from({ length: 6 }, () => event("rigPlanned", { rig: "r".repeat(20_000) }));
  return {
    told,
    state,
    broadcast,
    event,
    long,
    hear: (what: string, value: unknown) => heard[what]?.(value),
  };
}

async function until(told: readonly string[], last: string): Promise<void> {
  for (let turn = 0; turn < 50 && told.at(-1) !== last; turn++) await new Promise((go) => setImmediate(go));
  expect(told.at(-1)).toBe(last);
}

it("tells of a cover at once, and again after a release that it went past", async () => {
  const { told, state, broadcast, event, long, hear } = rehearsal();
  hear("events", long);
  hear("events", [event("coverReleased", { by: "lead" })]);
  state.cover = { by: "lead" };
  hear("cover", "lead");
  expect(told.at(-1)).toBe("site+boards+former: cover");
  await until(told, "site: cover");
  const atRigs = told.filter((line) => !line.startsWith("leads"));
  expect(atRigs.slice(-2)).toEqual(["rigs: coverReleased", "site: cover"]);
  broadcast.close();
});

it("does not bring back a cover that was released meanwhile", async () => {
  const { told, state, broadcast, event, long, hear } = rehearsal();
  hear("events", long);
  state.cover = { by: "lead" };
  hear("cover", "lead");
  state.cover = null;
  hear("events", [event("coverReleased", { by: "lead" })]);
  await until(told, "rigs: coverReleased");
  await new Promise((go) => setImmediate(go));
  expect(told.filter((line) => line.endsWith("cover"))).toEqual(["site+boards+former: cover"]);
  broadcast.close();
});
