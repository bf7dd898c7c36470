/**
 * A broker (Redis) that may be away, slow or wrong. One connection, no queue while it is away: what
 * waits for a broker is late, and old news of an eclipse are worth nothing. An answer that does not
 * come ends the connection, and a new one is tried; meanwhile every request fails at once.
 * Credentials never leave this file.
 */
import { createClient } from "redis";
import { MOST_BOARD_BYTES } from "../../shared/protocol/board-document.ts";
import type { BrokerAddress } from "./broker-address.ts";
import { certificateWords } from "./certificate-words.ts";

/** One entry a document, newest last; few: who comes new reads the newest alone. */
export const BOARD_STREAM = "noonfall:board";
/** Field: a relay's id; value: its word (relay-word.ts). */
export const RELAYS_HASH = "noonfall:relays";
export const STREAM_LENGTH = 16;
/**
 * The newest document of one site by itself, where its relays look first: whatever else is written to the
 * stream, and however fast, is not in its way.
 */
export const newestOf = (key: string): string => `${BOARD_STREAM}:${key}`;
/** What holds more than this holds something that is not ours, and is not read, bytes. */
const MOST_STREAM_BYTES = 4_000_000;

const PATIENCE_MS = 2000;
const MOST_WAIT_MS = 3000;
/** A connection that does not come to stand within so long is begun anew: its far side may say nothing at all, ms. */
const STANDING_MS = 5000;
const LOOK_MS = 1000;
const NOT_YET = "has not answered yet";
/** Commands under way at one time: each of our users asks one after the other. */
const MOST_UNDER_WAY = 16;

export class Broker {
  private client: ReturnType<typeof this.open> | undefined;
  private over = false;
  private again: NodeJS.Timeout | undefined;
  /** Why it is away, in a sentence; undefined while it answers. */
  trouble: string | undefined = NOT_YET;
  private watch: NodeJS.Timeout | undefined;
  private awaySince: number | undefined;

  /** `onReady` is called whenever a connection stands anew; `caOption` is what a person gives an authority by. */
  constructor(
    private readonly address: BrokerAddress,
    private readonly caOption: string,
    private readonly onReady: () => void = () => undefined,
  ) {}

  start(): void {
    this.client = this.open();
    this.watch ??= setInterval(() => this.look(), LOOK_MS);
  }

  /** Sends a command; rejects at once while there is no connection, and after two seconds. */
  async command(...words: string[]): Promise<unknown> {
    const { client } = this;
    if (!client?.isReady) throw new Error(`the broker ${this.address.shown} is away`);
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<never>((_resolve, reject) => {
      timer = setTimeout(() => reject(new Error("no answer")), PATIENCE_MS);
    });
    try {
      const answer = await Promise.race([client.sendCommand(words), late]);
      this.trouble = undefined;
      return answer;
    } catch (error) {
      this.trouble = sentence(error, this.caOption);
      // What comes after a silence would be late: begin anew.
      if ((error as Error).message === "no answer") this.reopen(client);
      throw new Error(`the broker ${this.address.shown} ${this.trouble}`);
    } finally {
      clearTimeout(timer);
    }
  }

  stop(): void {
    this.over = true;
    clearTimeout(this.again);
    clearInterval(this.watch);
    this.client?.destroy();
  }

  /** The client itself waits for ever for the answer to its greeting. */
  private look(): void {
    const { client } = this;
    if (!client || client.isReady) {
      this.awaySince = undefined;
      return;
    }
    this.awaySince ??= performance.now();
    if (performance.now() - this.awaySince < STANDING_MS) return;
    this.awaySince = undefined;
    if (this.trouble === undefined || this.trouble === NOT_YET) this.trouble = "does not answer";
    this.reopen(client);
  }

  private reopen(client: ReturnType<typeof this.open>): void {
    if (this.client !== client || this.over) return;
    client.destroy();
    this.client = undefined;
    this.again = setTimeout(() => this.start(), 1000);
  }

  private open() {
    const client = createClient({
      url: this.address.url,
      disableOfflineQueue: true,
      commandsQueueMaxLength: MOST_UNDER_WAY,
      socket: {
        connectTimeout: PATIENCE_MS,
        reconnectStrategy: (tries: number) => Math.min(MOST_WAIT_MS, 100 * 2 ** Math.min(tries, 6)),
        ...(this.address.ca !== undefined && { tls: true as const, ca: this.address.ca }),
      },
    });
    client.on("error", (error) => {
      this.trouble = sentence(error, this.caOption);
    });
    client.on("ready", () => {
      this.trouble = undefined;
      this.onReady();
    });
    // A first attempt that is refused for good (a wrong password) rejects and is not tried again.
    client.connect().catch((error: unknown) => {
      this.trouble = sentence(error, this.caOption);
      this.reopen(client);
    });
    return client;
  }
}

/** What stands in the stream, newest first; null where it holds more than ours can, and is not read. */
export async function streamEntries(broker: Broker): Promise<{ id: string; text: string }[] | null> {
  if (Number(await broker.command("MEMORY", "USAGE", BOARD_STREAM)) > MOST_STREAM_BYTES) return null;
  return entriesOf(await broker.command("XREVRANGE", BOARD_STREAM, "+", "-", "COUNT", String(STREAM_LENGTH)));
}

/** The documents in [[id, ["doc", text]], …], an answer of XREVRANGE; what is too large to be one is "". */
function entriesOf(answer: unknown): { id: string; text: string }[] {
  if (!Array.isArray(answer)) return [];
  return answer.flatMap((entry: unknown) => {
    const [id, fields] = Array.isArray(entry) ? entry : [];
    if (!Array.isArray(fields)) return [];
    const at = fields.map(String).indexOf("doc");
    const text = at >= 0 ? String(fields[at + 1]) : "";
    return [{ id: String(id), text: text.length > MOST_BOARD_BYTES ? "" : text }];
  });
}

/** What is wrong, without anything that was typed: the libraries' own words may repeat an address. */
function sentence(error: unknown, caOption: string): string {
  const { code = "", message = "" } = (error ?? {}) as { code?: string; message?: string };
  if (/WRONGPASS|NOAUTH|invalid password|without any password/i.test(message))
    return "does not take the name or password it was given";
  if (/NOPERM/i.test(message)) return "does not allow this user the commands that are needed";
  if (code === "ECONNREFUSED") return "refuses the connection: nothing listens there";
  if (code === "ENOTFOUND" || code === "EAI_AGAIN") return "has a name that is not found";
  if (/LOADING|MASTERDOWN|READONLY|MISCONF|OOM/i.test(message)) return "cannot take anything at this moment";
  if (/DB index/i.test(message)) return "has no database of that number";
  if (/no answer|timeout/i.test(message) || code === "ETIMEDOUT") return "does not answer";
  return certificateWords(error, caOption) ?? "is away, or is no Redis";
}
