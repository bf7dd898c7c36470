/**
 * One GET of a hub or relay upstream. Node's own client, since `fetch` takes no authority of one's own;
 * connections are kept, so that a question for the time costs no handshake.
 */
import { Agent as HttpAgent, get as httpGet, type IncomingMessage } from "node:http";
import { Agent as HttpsAgent, get as httpsGet } from "node:https";
import type { BrokerAddress } from "../feeds/broker-address.ts";
import { RELAY_PATH_HEADER } from "../feeds/relay-word.ts";

export interface WebAnswer {
  status: number;
  etag: string | undefined;
  /** RELAY_PATH_HEADER. */
  path: string | undefined;
  text: string;
}

export class WebGet {
  private readonly agent: HttpAgent;
  private readonly get: typeof httpGet;

  constructor(private readonly address: BrokerAddress) {
    const tls = address.url.startsWith("https:");
    this.agent = tls
      ? new HttpsAgent({ keepAlive: true, maxSockets: 4, ca: address.ca })
      : new HttpAgent({ keepAlive: true, maxSockets: 4 });
    this.get = tls ? httpsGet : httpGet;
  }

  /** Rejects where nothing answers in time, or more comes than `mostBytes`. A redirect is an answer like any other. */
  ask(
    path: string,
    patienceMs: number,
    mostBytes: number,
    headers: Record<string, string> = {},
  ): Promise<WebAnswer> {
    return new Promise((resolve, reject) => {
      const request = this.get(
        `${this.address.url}${path}`,
        { agent: this.agent, headers, signal: AbortSignal.timeout(patienceMs) },
        (answer) => void read(answer, mostBytes).then(resolve, reject),
      );
      request.on("error", reject);
    });
  }

  close(): void {
    this.agent.destroy();
  }
}

async function read(answer: IncomingMessage, mostBytes: number): Promise<WebAnswer> {
  const parts: Buffer[] = [];
  let bytes = 0;
  for await (const part of answer) {
    bytes += (part as Buffer).length;
    if (bytes > mostBytes) {
      answer.destroy();
      throw new Error("too much");
    }
    parts.push(part as Buffer);
  }
  const { etag, [RELAY_PATH_HEADER.toLowerCase()]: path } = answer.headers;
  return {
    status: answer.statusCode ?? 0,
    etag,
    path: path?.toString(),
    text: Buffer.concat(parts).toString("utf8"),
  };
}
