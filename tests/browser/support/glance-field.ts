/**
 * Twelve rigs of every kind on a field, whose phones come, go and speak as a test has it: what a lead's
 * screen has to tell of them is known beforehand. Phones are plain sockets: they are linked and say nothing
 * by themselves, so that all that is shown was put in by the test.
 */
import { letIn, type PlainSocket, plainSocket } from "../../../hub/people/plain-socket.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import type { MovedTime } from "./moved-time.ts";
import type { LeadCalls } from "./site.ts";
import type { HubProcess } from "./start-hub.ts";

const tracked = { kind: "tracked-telescope", focalLengthMm: 480 };
const tripod = { kind: "tripod-camera", focalLengthMm: 200 };
const landscape = { kind: "wide-camera", focalLengthMm: 14, filter: "none by design" };
const spot = (eastM: number, northM: number) => ({ spot: { eastM, northM } });

/** Invented. East mount stands alone but for Ridge refractor, which is nearest to it. */
export const TWELVE = [
  { id: "west", name: "West telescope", operator: "Ada", ...tracked, ...spot(-40, 0) },
  { id: "south", name: "South telescope", operator: "Ben", ...tracked, ...spot(0, -40) },
  { id: "east", name: "East mount", operator: "Cleo", ...tracked, ...spot(60, 0) },
  { id: "ridge", name: "Ridge refractor", operator: "Dov", ...tracked, ...spot(50, 8) },
  { id: "long", name: "Long tripod", operator: "Eli", ...tripod, ...spot(-10, 20) },
  { id: "short", name: "Short tripod", operator: "Fay", ...tripod, ...spot(-5, 25) },
  { id: "video", name: "Video", operator: "Gus", kind: "video-camera", focalLengthMm: 85, ...spot(0, 30) },
  {
    id: "robot",
    name: "Small robot",
    operator: "Hana",
    kind: "small-automatic-telescope",
    focalLengthMm: 250,
    ...spot(10, 35),
  },
  {
    id: "red",
    name: "Hydrogen scope",
    operator: "Ivo",
    kind: "narrowband-telescope",
    focalLengthMm: 400,
    ...spot(-20, -10),
  },
  {
    id: "eye",
    name: "Eyepiece",
    operator: "Jun",
    kind: "visual-telescope",
    focalLengthMm: 1200,
    lookedThrough: true,
    ...spot(-25, -15),
  },
  { id: "wide", name: "Horizon camera", operator: "Kim", ...landscape, ...spot(20, -30) },
  { id: "sky", name: "Sky camera", operator: "Kim", ...landscape, ...spot(22, -30) },
] as const;

export type FieldRig = (typeof TWELVE)[number]["id"];

export interface GlanceField {
  /** Phones of these rigs are linked, each a device of its own. */
  come(...rigIds: FieldRig[]): Promise<void>;
  /** They are out of reach at once. */
  go(...rigIds: FieldRig[]): void;
  /** A phone of each says this now. */
  say(rigIds: readonly FieldRig[], report: Record<string, unknown>): Promise<void>;
  end(): void;
}

export function glanceField(hub: HubProcess, asked: LeadCalls, time: MovedTime): GlanceField {
  const tokens = new Map<string, string>();
  const sockets = new Map<string, PlainSocket>();
  let said = 0;
  const tokenOf = async (rigId: string): Promise<string> => {
    const token = tokens.get(rigId) ?? (await asked.link(rigId)).token;
    tokens.set(rigId, token);
    return token;
  };
  const drop = (rigId: string): void => {
    sockets.get(rigId)?.disconnect();
    sockets.delete(rigId);
  };
  return {
    async come(...rigIds) {
      for (const id of rigIds) {
        const socket = plainSocket(hub.url, {
          role: "rig",
          rigs: [{ id, token: await tokenOf(id) }],
          deviceId: `phone-of-${id}`,
          label: "phone",
          protocol: PROTOCOL,
        });
        await letIn(socket);
        // Of its own clock it says nothing: the test's is not the hub's.
        socket.emit("pulse", { boundMs: 1, utcBoundMs: 500, armed: true, ownClockOffsetMs: null });
        sockets.set(id, socket);
      }
    },
    go(...rigIds) {
      rigIds.forEach(drop);
    },
    async say(rigIds, report) {
      for (const id of rigIds)
        await hub.call(
          "POST",
          `/api/rigs/${id}/reports`,
          { id: `said-${++said}`, atUtcMs: Math.floor(time.now()), ...report },
          { Authorization: `Bearer ${await tokenOf(id)}` },
        );
    },
    end() {
      [...sockets.keys()].forEach(drop);
    },
  };
}
