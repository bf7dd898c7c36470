/** The hub's clock for leads: sources, witnesses, marks by hand, what to make of a step. */
import * as v from "valibot";
import { flag } from "../../shared/fields/flag.ts";
import { id } from "../../shared/fields/id.ts";
import { UtcMsField } from "../../shared/fields/instant.ts";
import { listOf } from "../../shared/fields/list.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { utcMs } from "../../shared/time/instants.ts";
import type { HubClockKeeper } from "../clock-keeper.ts";
import type { HubParts } from "./hub-parts.ts";
import { receiverPlace } from "./receiver-place.ts";
import { type Route, refusalReply, route } from "./route.ts";

const SAMPLES_MS = 10 * 60_000;

const StepSchema = v.strictObject({ answer: v.picklist(["adopt", "refuse"], "must be adopt or refuse") });
const WitnessSchema = v.strictObject({
  deviceId: id,
  setAside: flag,
});
const ServersSchema = v.strictObject({
  servers: listOf(
    v.pipe(
      v.string("must be text"),
      v.trim(),
      v.regex(/^[A-Za-z0-9.:-]{1,253}$/, "must be a host name or an address"),
    ),
    8,
    "servers",
  ),
});

export function clockRoutes(
  { clock, log, sockets, keeper: site }: HubParts,
  keeper: HubClockKeeper,
): Route[] {
  const status = () => {
    const [known, now] = [clock.status(), clock.now()];
    return {
      body: {
        ...known,
        // A receiver of the hub's own comes first.
        site: known.site ?? receiverPlace(site.state, now) ?? null,
        utcMs: now,
        sleep: keeper.inhibitor.state(),
        servers: keeper.servers(),
        samples: log.readClockSamples(now - SAMPLES_MS),
      },
    };
  };
  return [
    route({
      method: "get",
      path: "/api/clock",
      access: "lead",
      summary: "Where the hub's time comes from, how good it is, and what the devices' clocks say.",
      handle: status,
    }),
    route({
      method: "post",
      path: "/api/clock/marks",
      access: "lead",
      summary: "Set at the mark: the UTC that a watch or radio pips show at this very moment.",
      body: v.strictObject({ utcMs: UtcMsField }),
      handle: ({ body }) => {
        clock.setAtMark(utcMs(body.utcMs));
        keeper.save();
        sockets.announceClock();
        return status();
      },
    }),
    route({
      method: "delete",
      path: "/api/clock/marks",
      access: "lead",
      summary: "Forgets the marks made by hand.",
      handle: () => {
        clock.clearMarks();
        keeper.save();
        return status();
      },
    }),
    route({
      method: "post",
      path: "/api/clock/step",
      access: "lead",
      summary: "The laptop's own clock was stepped: adopt the step or refuse it.",
      body: StepSchema,
      handle: ({ body }) => {
        if (!clock.status().step) {
          return refusalReply(
            refusal("not-found", "no step of the laptop's clock is waiting", { field: "answer" }),
          );
        }
        if (body.answer === "adopt") clock.adoptStep();
        else clock.refuseStep();
        keeper.save();
        sockets.announceClock();
        return status();
      },
    }),
    route({
      method: "post",
      path: "/api/clock/witnesses",
      access: "lead",
      summary:
        "Sets a device aside as a witness of the hub's clock, or counts it again. Set aside, it stands neither against the hub nor for it, until its own clock is set.",
      body: WitnessSchema,
      handle: ({ body: { deviceId, setAside } }) => {
        const known = setAside ? clock.setWitnessAside(deviceId) : clock.countWitnessAgain(deviceId);
        if (!known) {
          return refusalReply(
            refusal("not-found", `no device ${deviceId} has told of its clock lately`, { field: "deviceId" }),
          );
        }
        keeper.save();
        sockets.announceClock();
        return status();
      },
    }),
    route({
      method: "post",
      path: "/api/clock/set-now",
      access: "lead",
      summary: "Takes the whole correction at once instead of gaining it slowly.",
      body: v.strictObject({}),
      handle: () => {
        clock.setNow();
        keeper.save();
        sockets.announceClock();
        return status();
      },
    }),
    route({
      method: "post",
      path: "/api/clock/slept",
      access: "lead",
      summary: "The lead has compared the clock after the laptop slept.",
      body: v.strictObject({}),
      handle: () => {
        clock.acknowledgeSleep();
        return status();
      },
    }),
    route({
      method: "put",
      path: "/api/clock/servers",
      access: "lead",
      summary: "Network time servers to ask from the next start of the hub on.",
      body: ServersSchema,
      handle: ({ body }) => {
        keeper.setServers(body.servers);
        return status();
      },
    }),
  ];
}
