/**
 * One rig's half of the agent: a session with its hub as any phone has one (shared/link: outbox, clock,
 * catching up, revocation), the sources that read its instruments, and what decides when their words go.
 */
import { hostname } from "node:os";
import { Session } from "../../shared/link/session.ts";
import type { RefusedRig } from "../../shared/link/session-types.ts";
import type { Pulse } from "../../shared/protocol/messages.ts";
import { currentRun } from "../../shared/run/run-time.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import { nodePorts } from "../people/node-ports.ts";
import type { JoinedRig } from "./agent-options.ts";
import { dueNow, NOTHING_DUE, type WhatIsDue } from "./due-now.ts";
import type { FileStore } from "./file-store.ts";
import type { SetOwnClock, Source, SourcePorts } from "./source.ts";
import { Teller } from "./teller.ts";

const TICK_MS = 250;
const LOOK_MS = 1000;
/** What is still to be said at the end gets so long. */
const LAST_WORDS_MS = 1500;

export interface RigAgentPorts {
  store: FileStore;
  tell: (line: string) => void;
  /** In tests, how many times as often as in the field everything is looked at and said. */
  speed: number;
  /** The sources of this rig; `due` says what hangs on the run now. */
  sources: (ports: RigSourcePorts) => Source[];
}

export interface RigSourcePorts extends SourcePorts {
  due: () => WhatIsDue;
  setOwnClock: SetOwnClock;
}

export class RigAgent {
  readonly session: Session;
  private readonly teller: Teller;
  private readonly sources: readonly Source[];
  private readonly timers: NodeJS.Timeout[] = [];
  private due: WhatIsDue = NOTHING_DUE;
  private linkLine = "";
  private ownClock: Parameters<SetOwnClock>[0] = null;
  private readonly mono: () => number;

  constructor(
    private readonly rig: JoinedRig,
    private readonly ports: RigAgentPorts,
  ) {
    this.teller = new Teller(ports.speed);
    const session = nodePorts(rig.hubUrl, ports.store);
    const { clock, socket } = session;
    this.mono = () => clock.mono();
    const emit = socket.emit.bind(socket);
    socket.emit = (name, data) => emit(name, "ownClockOffsetMs" in data ? this.asWitness(data) : data);
    const label = `agent on ${hostname()}`.slice(0, 80);
    const links = [{ id: rig.rigId, token: rig.token }];
    this.session = new Session({ role: "rig", rigs: links, label, agent: true }, session);
    this.sources = ports.sources({
      mono: this.mono,
      utcMs: () => this.utcMs(),
      utcBoundMs: () => this.session.clock.reading().utcBoundMs,
      say: (instrument, saying, device) => this.teller.hear(instrument, saying, this.mono(), device),
      forget: (device) => this.teller.forget(device, this.mono()),
      tell: ports.tell,
      due: () => this.due,
      setOwnClock: (own) => {
        this.ownClock = own;
      },
    });
  }

  async start(): Promise<void> {
    await this.session.start();
    this.look();
    for (const source of this.sources) source.start();
    this.timers.push(
      setInterval(() => this.say(), TICK_MS),
      setInterval(() => this.look(), LOOK_MS),
    );
  }

  async stop(): Promise<void> {
    for (const timer of this.timers) clearInterval(timer);
    await Promise.all(this.sources.map((source) => source.stop()));
    this.say();
    const until = this.mono() + LAST_WORDS_MS;
    while (this.linked && this.session.view().queued > 0 && this.mono() < until)
      await new Promise((resolve) => setTimeout(resolve, 20));
    this.session.stop();
  }

  private get linked(): boolean {
    return this.session.view().linkState === "linked";
  }

  /** Null while the eclipse clock was never set. */
  private utcMs(): UtcMs | null {
    return this.session.clock.reading().state === "none" ? null : this.session.clock.now();
  }

  /** What hangs on the run, and how the link is. */
  private look(): void {
    const view = this.session.view();
    const now = this.utcMs();
    this.due =
      view.state && now !== null ? dueNow(view.state, this.rig.rigId, view.clockHealth, now) : NOTHING_DUE;
    const refused = view.refusedRigs.find(({ rigId }) => rigId === this.rig.rigId);
    const line = view.refused
      ? `the hub does not let this agent in: ${view.refused.message}`
      : refused
        ? REFUSED[refused.reason]
        : LINES[view.linkState];
    if (line !== this.linkLine) this.ports.tell(line);
    this.linkLine = line;
  }

  private say(): void {
    const { state, linkState } = this.session.view();
    const now = this.utcMs();
    // Before the first link it is not known when anything was.
    if (!state || now === null) return;
    const pace = linkState !== "linked" ? "alone" : this.due.near ? "near" : "linked";
    const { runId } = currentRun(state, now);
    for (const report of this.teller.due(this.mono(), pace, runId))
      void this.session.report(this.rig.rigId, report);
  }

  /** With a receiver the machine's own clock is no witness of the hub's, but the receiver is (S5). */
  private asWitness<Data extends object>(pulse: Data): Data {
    const { ownClock } = this;
    const { boundMs } = pulse as unknown as Pulse;
    if (!ownClock || boundMs === null) return pulse;
    const mono = this.mono();
    const ownClockOffsetMs = ownClock.utcMinusMonoMs + mono - this.session.clock.now();
    return { ...pulse, ownClockOffsetMs, boundMs: boundMs + ownClock.boundMs };
  }
}

const LINES = {
  "never linked": "looking for the hub",
  linked: "linked to the hub",
  "catching up": "catching up with the hub",
  alone: "without the hub; what is read waits",
} as const;

const REFUSED: Record<RefusedRig["reason"], string> = {
  "bad link": "the hub does not know this link: copy the rig's link anew",
  revoked: "this link was replaced: copy the rig's new link",
  removed: "the rig is not in the plan any more",
  "other hub": "another hub answers at this address",
};
