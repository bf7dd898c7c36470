/**
 * What rigs report over a socket, by their phones or by a lead in their stead: each fact is parsed
 * and answered by itself. A phone speaks for the rigs of its links; what it had queued for a rig
 * whose link was revoked is taken, and flagged.
 */
import { type Answer, FactsMessageSchema } from "../../shared/protocol/messages.ts";
import { FactSchema, parse } from "../../shared/run/orders/commands.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import { type HubSocket, hearQuestion, type LeadClient, type RigClient } from "./client.ts";
import type { LinkLimits } from "./link-limits.ts";
import { tooMany } from "./message-guard.ts";

interface FactPorts {
  keeper: SiteKeeper;
  limits: LinkLimits;
  onBug: (error: unknown) => void;
}

export function takeFacts(socket: HubSocket, client: LeadClient | RigClient, ports: FactPorts): void {
  hearQuestion(socket, "facts", ports.onBug, (message, answer) => {
    const parsed = parse(FactsMessageSchema, message);
    if (!parsed.ok) return answer([{ ok: false, refusal: parsed.refusal }]);
    const all = parsed.value.map(({ id, fact }) => takeFact(client, id, fact, ports));
    void Promise.all(all).then(answer);
  });
}

async function takeFact(
  client: LeadClient | RigClient,
  id: string,
  input: unknown,
  { keeper, limits }: FactPorts,
): Promise<Answer> {
  if (client.role === "rig") {
    const waitMs = waitOf(client, input, limits);
    if (waitMs > 0) return { ok: false, refusal: tooMany(waitMs) };
  }
  const parsed = parse(FactSchema, input);
  if (!parsed.ok) return { ok: false, refusal: parsed.refusal };
  const fact = parsed.value;
  const { rigId } = fact;
  const { deviceId } = client.hello;
  const sender = `device:${deviceId}`;
  if (client.role === "lead")
    return keeper.fact({ sender, actor: client.actor, deviceId, linkRevoked: false }, id, fact);
  const linkRevoked = client.formerRigIds.includes(rigId);
  if (!linkRevoked && !client.rigIds.includes(rigId)) {
    const why = `this link does not speak for rig ${rigId}`;
    return { ok: false, refusal: refusal("not-allowed", why, { field: "rigId" }) };
  }
  return keeper.fact({ sender, actor: `rig:${rigId}`, deviceId, linkRevoked }, id, fact);
}

/** What names no rig of this phone costs the first of its own links. Looked at before it is parsed. */
function waitOf({ rigIds, formerRigIds }: RigClient, input: unknown, limits: LinkLimits): number {
  const named = typeof input === "object" && input !== null && "rigId" in input ? input.rigId : undefined;
  const payer = [...rigIds, ...formerRigIds].find((id) => id === named) ?? rigIds[0] ?? formerRigIds[0] ?? "";
  return limits.report(payer, !rigIds.includes(payer));
}
