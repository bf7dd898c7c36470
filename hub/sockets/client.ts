/**
 * A socket of the hub and who is at its other end. What comes in is unknown until it is parsed;
 * what goes out is typed (shared/protocol). Rooms of Socket.IO: "site" (leads and rigs: the cover),
 * "leads" (events, presence, alerts), "rigs" (events), "boards", and "former" (phones whose links
 * were revoked: they learn nothing new but the cover, S7).
 */
import type { DefaultEventsMap, Server, Socket } from "socket.io";
import type {
  AnswerTo,
  Asking,
  ClientMessage,
  Hello,
  ServerToClient,
  Telling,
} from "../../shared/protocol/messages.ts";

/** Nothing a client sends is believed, not even that it waits for an answer. */
type Unparsed = Record<ClientMessage, (message: unknown, answer: unknown) => void>;

export type HubServer = Server<Unparsed, ServerToClient, DefaultEventsMap, { client: Client }>;
export type HubSocket = Socket<Unparsed, ServerToClient, DefaultEventsMap, { client: Client }>;

type HelloOf<Role extends Hello["role"]> = Extract<Hello, { role: Role }>;

export interface LeadClient {
  role: "lead";
  hello: HelloOf<"lead">;
  /** Whom the log names. */
  actor: string;
  /** Whose command ids they are. */
  sender: string;
  sessionHash: string;
}

export interface RigClient {
  role: "rig";
  hello: HelloOf<"rig">;
  /** Rigs whose links are good: it reads and speaks for them. */
  rigIds: readonly string[];
  /** Rigs whose links were revoked, or that were removed: what it had queued is taken, and flagged. */
  formerRigIds: readonly string[];
}

/** A board is nobody in particular. */
export type Client = { role: "board" } | LeadClient | RigClient;

/** Listens for what is told; a bug in what follows is given to `onBug` and costs that message alone. */
export function hear(
  socket: HubSocket,
  name: Telling,
  onBug: (error: unknown) => void,
  take: (message: unknown) => void,
): void {
  socket.on(name, guarded(onBug, take));
}

/** Listens for what is asked. A question without a way to answer is none. */
export function hearQuestion<Name extends Asking>(
  socket: HubSocket,
  name: Name,
  onBug: (error: unknown) => void,
  take: (message: unknown, answer: (value: AnswerTo<Name>) => void) => void,
): void {
  const listener = guarded(onBug, (message, answer) => {
    if (typeof answer === "function") take(message, (value) => answer(value));
  });
  const event: Asking = name;
  socket.on(event, listener);
}

function guarded(onBug: (error: unknown) => void, take: (message: unknown, answer: unknown) => void) {
  return (message: unknown, answer: unknown): void => {
    try {
      take(message, answer);
    } catch (error) {
      onBug(error);
    }
  };
}
