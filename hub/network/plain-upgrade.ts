/**
 * Requests that offer to switch to a protocol that is not ours. RFC 9110, 7.8: a server may ignore
 * the offer and answer in the protocol that is spoken already. Several HTTP clients offer h2c with
 * every first request, and would else wait for an answer that never comes.
 *
 * Where somebody listens to "upgrade", Node hands such a request over without a response, its body
 * unread. So the head is written anew without the offer, put back in front of what was read, and
 * the connection given to the server once more, as if it had just come.
 */
import type { IncomingMessage, Server, ServerResponse } from "node:http";
import type { Duplex } from "node:stream";
import { TLSSocket } from "node:tls";

type Listener = (request: IncomingMessage, socket: Duplex, head: Buffer) => void;

/** Of an offer, and of no meaning without one. */
const OF_OFFER = new Set(["upgrade", "http2-settings", "sec-websocket-key", "sec-websocket-version"]);

/** Lets those who listen to "upgrade" by now have what `isOurs` says; the rest is answered as plain HTTP. */
export function answerOtherUpgrades(server: Server, isOurs: (request: IncomingMessage) => boolean): void {
  const listeners = server.listeners("upgrade") as Listener[];
  server.removeAllListeners("upgrade");
  server.on("upgrade", (request, socket, head) => {
    if (isOurs(request)) for (const listener of listeners) listener.call(server, request, socket, head);
    else anew(server, request, socket, head);
  });
}

function anew(server: Server, request: IncomingMessage, socket: Duplex, head: Buffer): void {
  socket.pause();
  // Answers to what came before on this connection are sent first.
  const before = (socket as Duplex & { _httpMessage?: ServerResponse | null })._httpMessage;
  if (before) {
    before.once("finish", () => anew(server, request, socket, head));
    return;
  }
  if (head.length > 0) socket.unshift(head);
  socket.unshift(Buffer.from(headOf(request), "latin1"));
  server.emit(socket instanceof TLSSocket ? "secureConnection" : "connection", socket);
  process.nextTick(() => socket.resume());
}

/** The head as it came, less the offer. What Node has parsed holds no line breaks of its own. */
function headOf({ method, url, httpVersion, rawHeaders }: IncomingMessage): string {
  const lines = [`${method} ${url} HTTP/${httpVersion}`];
  for (let n = 0; n + 1 < rawHeaders.length; n += 2) {
    const [name = "", value = ""] = [rawHeaders[n], rawHeaders[n + 1]];
    if (OF_OFFER.has(name.toLowerCase())) continue;
    if (name.toLowerCase() !== "connection") lines.push(`${name}: ${value}`);
    else {
      const kept = value.split(",").filter((token) => !OF_OFFER.has(token.trim().toLowerCase()));
      if (kept.length > 0) lines.push(`${name}: ${kept.join(",")}`);
    }
  }
  return `${lines.join("\r\n")}\r\n\r\n`;
}
