/** Opens the session of a lead's or a rig's page with the hub it came from. */
import { giveOrder } from "../../shared/link/give-order.ts";
import { Session, type SessionRole } from "../../shared/link/session.ts";
import type {
  ClockReading,
  RigLink,
  SessionPorts,
  SessionView,
  StorePort,
} from "../../shared/link/session-types.ts";
import type { Answer } from "../../shared/protocol/messages.ts";
import type { Report } from "../../shared/run/facts/report-schema.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import type { MonoMs, UtcMs } from "../../shared/time/instants.ts";
import { browserLink } from "./browser-link.ts";
import { BrowserStore } from "./browser-store.ts";
import { newId } from "./new-id.ts";
import { otherPages } from "./other-pages.ts";
import { followPage, offerClock } from "./page-life.ts";

export interface PageSession {
  subscribe(listener: () => void): () => void;
  view(): SessionView;
  /** Real UTC by the eclipse clock, ms with fraction. */
  now(): UtcMs;
  reading(): ClockReading;
  /** When now() will show an instant, on the page's monotonic clock (performance.now()), ms. */
  monoAt(at: UtcMs): MonoMs;
  report(rigId: string, report: Report): Promise<void>;
  setArmed(armed: boolean): void;
  noteOrdersSeen(): void;
  noteRead(messageId: string): void;
  /** The rigs in this device's hands have changed. */
  join(rigs: readonly RigLink[], left: readonly RigLink[]): void;
  close(): void;
}

export interface LeadSession extends PageSession {
  /** Goes now or fails. */
  order(order: Order): Promise<Answer>;
}

/** What a page of a phone tells its others: a message was read, missed orders taken note of; else a report. */
interface Told {
  read?: string;
  seen?: boolean;
}

export function openLeadSession(token: string): LeadSession {
  const ports = portsWith(new BrowserStore("noonfall-lead"));
  const session = open({ role: "lead", token, label: deviceLabel() }, ports);
  return { ...session, order: (order) => giveOrder(ports, order) };
}

export function openRigSession(
  rigs: readonly RigLink[],
  store: BrowserStore,
  left: readonly RigLink[],
): PageSession {
  return open({ role: "rig", rigs, left, label: deviceLabel() }, portsWith(store));
}

function portsWith(store: StorePort): SessionPorts {
  return { ...browserLink(), store, newId };
}

function open(role: SessionRole, ports: SessionPorts): PageSession {
  const session = new Session(role, ports);
  offerClock(() => session.clock.reading());
  // Pages of one phone have one outbox.
  const readOthers = (): void => void session.readOthers().catch(() => undefined);
  const others =
    role.role === "rig"
      ? otherPages<Told>("session", (told) => {
          if (told.read) session.noteRead(told.read);
          else if (told.seen) session.noteOrdersSeen();
          else readOthers();
        })
      : null;
  const unfollow = followPage({
    wake() {
      session.wake();
      if (others) readOthers();
    },
    noteSuspension: () => session.noteSuspension(),
  });
  void session.start();
  return {
    subscribe: (listener) => session.subscribe(listener),
    view: () => session.view(),
    now: () => session.clock.now(),
    reading: () => session.clock.reading(),
    monoAt: (at) => session.clock.monoAt(at),
    async report(rigId, report) {
      await session.report(rigId, report);
      others?.tell({});
    },
    setArmed: (armed) => session.setArmed(armed),
    noteOrdersSeen() {
      session.noteOrdersSeen();
      others?.tell({ seen: true });
    },
    noteRead(messageId) {
      session.noteRead(messageId);
      others?.tell({ read: messageId });
    },
    join: (rigs, left) => session.join(rigs, left),
    close() {
      unfollow();
      others?.close();
      session.stop();
    },
  };
}

/** What kind of device this is, for the lead's console. */
function deviceLabel(): string {
  const agent = navigator.userAgent;
  if (/iPhone/.test(agent)) return "phone (iOS)";
  if (/iPad/.test(agent)) return "tablet (iOS)";
  if (/Android/.test(agent)) return /Mobile/.test(agent) ? "phone (Android)" : "tablet (Android)";
  return "laptop";
}
