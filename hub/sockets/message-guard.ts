/**
 * How much one socket may send, whatever it sends. Beyond it a message is dropped, and answered
 * with "too-many" where it waits for an answer; who goes on for seconds, or sends megabytes, is cut off.
 */
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import type { HubSocket } from "./client.ts";

/** Messages per second (probes not counted). A page sends one or two. */
const MOST_MESSAGES_PER_S = 60;
const MOST_PROBES_PER_S = 200;
/** Seconds with too many messages after which a socket is cut off; calm ones count against them. */
const MOST_LOUD_S = 5;
/** The largest plan has less than a quarter of it. */
const MOST_BYTES_PER_S = 2 * 1024 * 1024;

/** `blame` is called for each refused message. */
export function guardRate(socket: HubSocket, blame: () => void): void {
  let messages = 0;
  let probes = 0;
  let bytes = 0;
  let loudS = 0;
  let since = performance.now();
  const tick = (): void => {
    const now = performance.now();
    if (now - since <= 1000) return;
    const tooMany = messages > MOST_MESSAGES_PER_S || probes > MOST_PROBES_PER_S;
    loudS = tooMany ? loudS + 1 : Math.max(0, loudS - Math.floor((now - since) / 1000));
    messages = probes = bytes = 0;
    since = now;
  };
  const { conn } = socket;
  conn.on("packet", ({ data }: { data?: string | Buffer }) => {
    tick();
    bytes += data?.length ?? 0;
    if (bytes <= MOST_BYTES_PER_S) return;
    blame();
    conn.close(true);
  });
  socket.use(([event, ...data], next) => {
    tick();
    if (event === "probe") probes++;
    else messages++;
    if (messages <= MOST_MESSAGES_PER_S && probes <= MOST_PROBES_PER_S) return next();
    blame();
    const why = tooMany(1000);
    const answer: unknown = data.at(-1);
    if (typeof answer === "function") answer(event === "facts" ? [refused(why)] : refused(why));
    if (loudS >= MOST_LOUD_S) socket.disconnect(true);
    next(new Error(why.message));
  });
  // Without a listener an error of the middleware would be thrown.
  socket.on("error", () => undefined);
}

/** Wait so long and send the same again: nothing was done, and nothing is lost. */
export function tooMany(waitMs: number): Refusal {
  return refusal("too-many", `this sends too much; try again in ${waitMs / 1000} s`, {
    data: { retryAfterMs: waitMs },
  });
}

function refused(why: Refusal): { ok: false; refusal: Refusal } {
  return { ok: false, refusal: why };
}
