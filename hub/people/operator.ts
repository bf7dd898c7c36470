/**
 * One simulated operator: a session of its own over a real socket, and habits (habit.ts). It sees
 * what any rig page sees, nothing more, and acts in practice runs only.
 */
import { Session } from "../../shared/link/session.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import { NOBODY } from "../../shared/run/views/presence.ts";
import { viewRigs } from "../../shared/run/views/run-view.ts";
import { Habit } from "./habit.ts";
import { MemoryStore, type NodeSocket, nodePorts } from "./node-ports.ts";
import type { Person } from "./person.ts";

const LOOK_MS = 200;

export class Operator {
  private readonly store = new MemoryStore();
  private session: Session | undefined;
  private socket: NodeSocket | undefined;
  private timer: NodeJS.Timeout | undefined;
  private habit: Habit | undefined;

  constructor(
    private readonly person: Person,
    private readonly url: string,
  ) {}

  get rigId(): string {
    return this.person.rigId;
  }

  /** Joins, or joins anew when the link is no longer good. */
  join(token: string): void {
    if (this.session && this.session.view().refusedRigs.length === 0 && !this.session.view().refused) return;
    this.leave();
    const ports = nodePorts(this.url, this.store);
    vouchesForNothing(ports.socket);
    this.socket = ports.socket;
    this.session = new Session(
      { role: "rig", rigs: [{ id: this.person.rigId, token }], label: this.person.device },
      ports,
    );
    this.session.setArmed(true);
    void this.session.start();
    this.timer = setInterval(() => this.look(), LOOK_MS);
  }

  leave(): void {
    clearInterval(this.timer);
    this.session?.stop();
    this.session = undefined;
  }

  private look(): void {
    const { session } = this;
    const state = session?.view().state;
    if (!session || !state || session.clock.reading().state === "none") return;
    const now = session.clock.now();
    const practice = practiceAt(state, now);
    const view = viewRigs([this.person.rigId], state, NOBODY, session.clock.health(), now);
    const [status] = view.rigs;
    if (!practice || !status) {
      this.habit = undefined;
      this.socket?.setNetwork(true);
      return;
    }
    if (this.habit?.runId !== practice.runId) this.habit = new Habit(this.person, practice, status.rig);
    const { habit } = this;
    this.socket?.setNetwork(habit.inReach(view));
    for (const report of habit.act({ state, view, status, now, cover: session.view().cover })) {
      void session.report(this.person.rigId, report);
    }
  }
}

/** An operator has the hub's own clock: no witness of it (S5). */
function vouchesForNothing(socket: NodeSocket): void {
  const emit = socket.emit.bind(socket);
  socket.emit = (name, data) =>
    emit(name, "ownClockOffsetMs" in data ? { ...data, ownClockOffsetMs: null } : data);
}
