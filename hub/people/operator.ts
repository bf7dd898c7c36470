/**
 * One simulated operator: a session of its own over a real socket, and habits (habit.ts). It sees
 * what any rig page sees, nothing more, and acts in practice runs only.
 */
import { Session } from "../../shared/link/session.ts";
import type { PracticeStarted } from "../../shared/run/events.ts";
import { playedDeviceId } from "../../shared/run/facts/played.ts";
import type { Report } from "../../shared/run/facts/report-schema.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import type { SiteState } from "../../shared/run/state.ts";
import { NOBODY } from "../../shared/run/views/presence.ts";
import { viewRigs } from "../../shared/run/views/run-view.ts";
import { later, type UtcMs } from "../../shared/time/instants.ts";
import { newId } from "../new-id.ts";
import { Habit } from "./habit.ts";
import { MemoryStore, type NodeSocket, nodePorts } from "./node-ports.ts";
import type { Person } from "./person.ts";
import type { WorkOfHands } from "./work-of-hands.ts";

/** How often it looks, ms of run time; no more often than LEAST_LOOK_MS. */
const LOOK_MS = 200;
const LEAST_LOOK_MS = 40;
/** So long before a practice ends by itself nothing more is said, ms. */
const LEAVES_MS = 50;

export class Operator {
  private readonly store: MemoryStore;
  private session: Session | undefined;
  private socket: NodeSocket | undefined;
  private timer: NodeJS.Timeout | undefined;
  private habit: Habit | undefined;
  private token = "";
  private idle = false;
  /** What has happened at the rig, whether it could be said yet or not. */
  private plight: Report = {};

  /**
   * @param playedAs an id of one who plays a missing person's rig in a practice; left out in the demo.
   * @param work the order of hands that they keep to; nobody does where there is none.
   */
  constructor(
    private readonly person: Person,
    private readonly url: string,
    playedAs?: string,
    private readonly work: () => WorkOfHands | null = () => null,
  ) {
    this.store = new MemoryStore(playedAs === undefined ? newId() : playedDeviceId(playedAs));
  }

  get rigId(): string {
    return this.person.rigId;
  }

  /** Joins, or joins anew when the link is no longer good. */
  join(token: string): void {
    if (this.session && this.session.view().refusedRigs.length === 0 && !this.session.view().refused) return;
    this.leave();
    this.token = token;
    const ports = nodePorts(this.url, this.store);
    vouchesForNothing(ports.socket);
    this.socket = ports.socket;
    this.session = new Session(
      { role: "rig", rigs: [{ id: this.person.rigId, token }], label: this.person.device },
      ports,
    );
    this.session.setArmed(true);
    void this.session.start();
    this.lookAgain(LOOK_MS);
  }

  private lookAgain(afterMs: number): void {
    this.timer = setTimeout(() => {
      // A practice at ten times the speed is seen as closely as one at its own.
      const rate = this.look();
      if (this.session) this.lookAgain(Math.max(LEAST_LOOK_MS, LOOK_MS / rate));
    }, afterMs);
  }

  leave(): void {
    clearTimeout(this.timer);
    this.session?.stop();
    this.session = undefined;
  }

  /** As a phone whose page is loaded again: what was not sent yet is kept. */
  reload(): void {
    this.leave();
    this.join(this.token);
  }

  /** Does nothing until told otherwise; the phone is there. */
  setIdle(idle: boolean): void {
    this.idle = idle;
  }

  /** Something happens at the rig, and its operator says so. */
  say(report: Report): void {
    const { session } = this;
    this.plight = { ...this.plight, ...report };
    const state = session?.view().state;
    if (!session || !state || !practised(state, session.clock.now())) return;
    this.habit?.holds(report);
    void session.report(this.rigId, report);
  }

  /** Acts on what is seen; gives the rate of the practice that is on. */
  private look(): number {
    const { session } = this;
    const state = session?.view().state;
    if (!session || !state || session.clock.reading().state === "none") return 1;
    const now = session.clock.now();
    const practice = practised(state, now);
    const view = viewRigs([this.person.rigId], state, NOBODY, session.clock.health(), now);
    const [status] = view.rigs;
    if (!practice || !status) {
      this.habit = undefined;
      this.socket?.setNetwork(true);
      return 1;
    }
    if (this.habit?.runId !== practice.runId) {
      this.habit = new Habit(this.person, practice, status.rig);
      this.habit.holds(this.plight);
    }
    const { habit } = this;
    this.socket?.setNetwork(habit.inReach(view));
    if (this.idle) return practice.rate;
    const scene = { state, view, status, now, cover: session.view().cover, work: this.work() };
    for (const report of habit.act(scene)) void session.report(this.person.rigId, report);
    return practice.rate;
  }
}

/**
 * The practice that is on, and goes on for a moment: what is said in it must not be taken for a word
 * on the real run because it ends between two lines of code.
 */
function practised(state: SiteState, now: UtcMs): PracticeStarted | null {
  return practiceAt(state, later(now, LEAVES_MS)) && practiceAt(state, now);
}

/** An operator has the hub's own clock: no witness of it (S5). */
function vouchesForNothing(socket: NodeSocket): void {
  const emit = socket.emit.bind(socket);
  socket.emit = (name, data) =>
    emit(name, "ownClockOffsetMs" in data ? { ...data, ownClockOffsetMs: null } : data);
}
