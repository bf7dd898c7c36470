/**
 * Who may come in, and as whom: the handshake is parsed, a lead needs a session, a rig's phone a
 * link of this hub's. A phone whose links are all revoked is let in too, to deliver what it had
 * queued; so is one that holds none of ours, which is told so by `refused`.
 */
import { ownValue } from "../../shared/fields/own-key.ts";
import { HelloSchema, type Welcome } from "../../shared/protocol/messages.ts";
import { PROTOCOL } from "../../shared/protocol/version.ts";
import { DEVICES_MOST } from "../../shared/run/facts/fact-bounds.ts";
import { isPlayed } from "../../shared/run/facts/played.ts";
import { parse } from "../../shared/run/orders/commands.ts";
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import type { HubClock } from "../clock/hub-clock.ts";
import type { Keys } from "../site/keys.ts";
import type { PresenceBook } from "../site/presence.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import type { Client, HubSocket, RigClient } from "./client.ts";
import { type LinkLimits, MOST_SOCKETS } from "./link-limits.ts";
import { tooMany } from "./message-guard.ts";

/** How long a phone waits whose link has too many sockets open already, ms. */
const FULL_WAIT_MS = 10_000;

export interface AdmitPorts {
  keeper: SiteKeeper;
  keys: Keys;
  clock: HubClock;
  presence: PresenceBook;
  limits: LinkLimits;
}

type RigHello = RigClient["hello"];

interface Links extends Pick<RigClient, "rigIds" | "formerRigIds"> {
  refused: Welcome["refused"];
}

export class Admission {
  constructor(private readonly ports: AdmitPorts) {}

  /** Who somebody is by their handshake, or why they may not come in. */
  judge(handshake: unknown): Client | Refusal {
    const parsed = parse(HelloSchema, handshake);
    if (!parsed.ok) return parsed.refusal;
    const hello = parsed.value;
    if (hello.protocol !== PROTOCOL) {
      const message = `this page speaks protocol ${hello.protocol}, the hub ${PROTOCOL}; load it again`;
      return refusal("protocol", message);
    }
    if (hello.role === "board") return { role: "board" };
    if (hello.role === "lead") {
      const session = this.ports.keys.session(hello.token);
      if (!session) return refusal("not-signed-in", "sign in with the lead's PIN");
      const { name, hash } = session;
      const sender = `lead:${hash.slice(0, 12)}`;
      return { role: "lead", hello, actor: `lead:${name}`, sender, sessionHash: hash };
    }
    const waitMs = this.waitAtDoor(hello);
    if (waitMs > 0) return tooMany(waitMs);
    const { rigIds, formerRigIds } = this.linksOf(hello);
    return { role: "rig", hello, rigIds, formerRigIds };
  }

  /** Which of a phone's links are good now, which were, and what is said of the others. */
  linksOf({ rigs }: RigHello): Links {
    const { keeper, keys } = this.ports;
    const { generations, plan } = keeper.state;
    const rigIds: string[] = [];
    const formerRigIds: string[] = [];
    const refused: Links["refused"] = [];
    const turnAway = (rigId: string, reason: Welcome["refused"][number]["reason"]): void => {
      refused.push({ rigId, reason });
      // What such a phone had queued is still taken, and flagged; it learns nothing new.
      if (reason !== "bad link") formerRigIds.push(rigId);
    };
    for (const { id, token } of rigs) {
      const verdict = keys.checkRigToken(id, token, ownValue(generations, id) ?? 0);
      if (!verdict.ok) turnAway(id, "bad link");
      else if (verdict.revoked) turnAway(id, "revoked");
      else if (!plan.rigs.some((rig) => rig.id === id)) turnAway(id, "removed");
      else rigIds.push(id);
    }
    return { rigIds, formerRigIds, refused };
  }

  /** Told to leads by presence, and noted where the rig has got a new device. */
  noteJoin(socket: HubSocket, { hello, rigIds }: RigClient, presenceChanged: () => void): void {
    const { keeper, presence, clock } = this.ports;
    const { deviceId, label } = hello;
    const agent = hello.agent && { agent: hello.agent };
    presence.join(socket.id, { deviceId, label, rigIds, ...agent }, clock.now());
    presenceChanged();
    socket.on("disconnect", () => {
      presence.leave(socket.id);
      presenceChanged();
    });
    // A practice leaves nothing in the real run's record: who plays a rig is no phone of it.
    if (isPlayed(deviceId)) return;
    const known = ownValue(keeper.state.devices, deviceId);
    const joins = rigIds.filter((id) => !known?.rigIds.includes(id) && !this.hasManyDevices(id));
    if (joins.length > 0)
      void keeper.note("deviceJoined", { deviceId, rigIds: [...rigIds], label, ...agent });
  }

  /** 0 when one at least of a phone's links has room for it, or none is good; else ms to wait. */
  private waitAtDoor(hello: RigHello): number {
    const { keys, keeper, limits, presence } = this.ports;
    const waits: number[] = [];
    for (const { id, token } of hello.rigs) {
      const verdict = keys.checkRigToken(id, token, ownValue(keeper.state.generations, id) ?? 0);
      if (!verdict.ok) continue;
      const full = presence.socketsOf(id) >= MOST_SOCKETS;
      if (full && !verdict.revoked) limits.noteRefusal(id);
      waits.push(full ? FULL_WAIT_MS : limits.entry(id, verdict.revoked));
    }
    return waits.length === 0 ? 0 : Math.min(...waits);
  }

  /** R17: that a rig has phones is known by then; who brings more is not written down. */
  private hasManyDevices(rigId: string): boolean {
    const devices = Object.values(this.ports.keeper.state.devices);
    return devices.filter(({ rigIds }) => rigIds.includes(rigId)).length >= DEVICES_MOST;
  }
}
