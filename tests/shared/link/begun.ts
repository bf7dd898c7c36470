/** A session on ports of the test's own, beside a site whose log the test writes. */
import { Session, type SessionRole } from "../../../shared/link/session.ts";
import type { Answer } from "../../../shared/protocol/messages.ts";
import { SiteWorld } from "../run/site-world.ts";
import { FakeSocket, FakeStore, FakeWorld, fakePorts, settle, WALL_AT_START } from "./fake-ports.ts";

export const RIG: SessionRole = { role: "rig", rigs: [{ id: "west", token: "t" }], label: "phone" };
export const LEAD: SessionRole = { role: "lead", token: "t", label: "laptop" };
export const OK: Answer = { ok: true, seq: 1 };

export async function begun(role: SessionRole = RIG, store = new FakeStore()) {
  const world = new FakeWorld();
  const socket = new FakeSocket();
  const session = new Session(role, fakePorts(world, socket, store));
  await session.start();
  const site = SiteWorld.planned({}, WALL_AT_START - 86_400_000);
  return { world, socket, store, session, site };
}

/** Linked and caught up with the site as it is. */
export async function linked(role?: SessionRole, store?: FakeStore) {
  const all = await begun(role, store);
  all.socket.open();
  all.socket.hear("state", { seq: all.site.state.seq, state: all.site.state });
  await settle();
  return all;
}

export const idsOf = (batch: unknown) => (batch as { id: string }[]).map((item) => item.id);
export const factsSent = (socket: FakeSocket) =>
  socket.requests.filter((request) => request.event === "facts").map((request) => idsOf(request.data));

/** The hub answers every probe in the instant in which it comes, and nothing else. */
export function answersProbes(socket: FakeSocket, hub: () => number): void {
  socket.answer = async (event) =>
    event === "probe"
      ? { t2: hub(), t3: hub(), hubBoundMs: 3, disputed: false, slept: false }
      : Promise.reject();
}
