/**
 * The only way in which this program speaks to Alpaca devices (an open REST standard, API reference
 * version 10 of 2025): GET, bounded in time and size, no redirects. Nothing is connected, nothing set.
 */
import { boundedText } from "../../bounded-body.ts";
import type { HostPort } from "../agent-options.ts";

/** All that is ever sent. */
export const ALPACA_VERBS: readonly string[] = ["GET"];

const WAIT_MS = 3000;
const BODY_MOST = 262_144;
/** Any number that is not 0 (reference, section on client ids). */
const CLIENT_ID = 47_015;

/** An answer that is none of Alpaca's, or none at all: one sentence. */
export class AlpacaTrouble extends Error {
  override name = "AlpacaTrouble";
}

/** The value of an answer; null where the device says that it has none. Throws AlpacaTrouble. */
export async function alpacaGet(
  at: HostPort,
  path: string,
  verb = "GET",
  waitMs = WAIT_MS,
): Promise<unknown> {
  if (!ALPACA_VERBS.includes(verb)) throw new Error(`an Alpaca client that only reads never sends ${verb}`);
  const host = at.host.includes(":") ? `[${at.host}]` : at.host;
  const url = `http://${host}:${at.port}${path}?ClientID=${CLIENT_ID}&ClientTransactionID=1`;
  let text: string | undefined;
  let status: number;
  try {
    const answer = await fetch(url, {
      method: verb,
      redirect: "error",
      signal: AbortSignal.timeout(waitMs),
    });
    status = answer.status;
    text = await boundedText(answer, BODY_MOST);
  } catch (error) {
    throw new AlpacaTrouble(whyNot(error, waitMs));
  }
  if (text === undefined) throw new AlpacaTrouble("answers without end");
  // 400 is "no such method in this version" (reference, section on HTTP status codes).
  if (status === 400 || status === 404) return null;
  if (status !== 200) throw new AlpacaTrouble(`answers ${status}`);
  let answer: unknown;
  try {
    answer = JSON.parse(text);
  } catch {
    throw new AlpacaTrouble("answers what is no Alpaca");
  }
  if (typeof answer !== "object" || answer === null) throw new AlpacaTrouble("answers what is no Alpaca");
  const { ErrorNumber, Value } = answer as { ErrorNumber?: unknown; Value?: unknown };
  return typeof ErrorNumber === "number" && ErrorNumber !== 0 ? null : (Value ?? null);
}

function whyNot(error: unknown, waitMs: number): string {
  if ((error as Error).name === "TimeoutError") return `does not answer within ${waitMs / 1000} s`;
  const code = ((error as Error).cause as NodeJS.ErrnoException | undefined)?.code;
  return code === "ECONNREFUSED"
    ? "nothing answers there"
    : `cannot be reached (${code ?? (error as Error).message})`;
}
