/**
 * Where a relay has the board from: the broker's stream, or another relay or the hub by HTTP. Either
 * is asked again and again for the newest and nothing else, so that whatever dies and comes back is
 * gone on with, and nothing is ever late. What it says of itself goes the other way on the same path.
 */
import { MOST_BOARD_BYTES } from "../../shared/protocol/board-document.ts";
import { Broker, newestOf, RELAYS_HASH, streamEntries } from "../feeds/broker.ts";
import type { BrokerAddress } from "../feeds/broker-address.ts";
import { certificateWords } from "../feeds/certificate-words.ts";
import { RELAY_HEADER, type RelayPath, type RelayWord, readPath } from "../feeds/relay-word.ts";
import type { BoardHolder, NotTaken } from "./held-board.ts";
import { WebGet } from "./web-get.ts";

export interface Upstream {
  start(): void;
  stop(): void;
  /** Why nothing comes, in words; undefined while it does. */
  trouble(): string | undefined;
}

export interface UpstreamPorts {
  address: BrokerAddress;
  holder: BoardHolder;
  /** What this relay says of itself now. */
  word: () => RelayWord;
  /** This relay's own. */
  id: string;
  /** By whom the board has come to here; kept by a relay that polls. */
  path: RelayPath;
}

/** The option that gives an authority of one's own. */
export const FROM_CA = "--from-ca";
/** What is left aside at the broker, in words for whoever runs the relay. */
const STRANGE: Record<Exclude<NotTaken, "older">, string> = {
  "no board": "holds something that is no board, too: it is left aside. Who else writes there?",
  altered: "holds a board whose signature does not hold, too: it is left aside. Who else writes there?",
  "other site":
    "holds the board of another site, too: it is left aside. Which one is yours is said by --key (in the board's address)",
};
/** So long it is told after it was seen last. */
const STRANGE_FOR_MS = 10_000;
const STREAM_EVERY_MS = 250;
const WORD_EVERY_MS = 2000;
const WEB_EVERY_MS = 1000;
const WEB_PATIENCE_MS = 3000;

/** Runs a task again and again with a rest between; a task that fails is not the end. */
class Round {
  private timer: NodeJS.Timeout | undefined;
  private over = false;

  constructor(
    private readonly restMs: number,
    private readonly task: () => Promise<void>,
  ) {}

  start(): void {
    void this.turn();
  }

  stop(): void {
    this.over = true;
    clearTimeout(this.timer);
  }

  private async turn(): Promise<void> {
    await this.task().catch(() => undefined);
    if (!this.over) this.timer = setTimeout(() => void this.turn(), this.restMs);
  }
}

export function brokerUpstream({ address, holder, word }: UpstreamPorts): Upstream {
  const broker = new Broker(address, FROM_CA);
  let saidAtMs = Number.NEGATIVE_INFINITY;
  let looked: ReadonlySet<string> = new Set();
  let strange: string | undefined;
  let strangeAtMs = Number.NEGATIVE_INFINITY;
  const note = (why: NotTaken | null): void => {
    // Older ones are what the stream keeps.
    if (why === null || why === "older") return;
    strange = STRANGE[why];
    strangeAtMs = performance.now();
  };
  const round = new Round(STREAM_EVERY_MS, async () => {
    const entries = await streamEntries(broker);
    if (entries === null) note("no board");
    else {
      // Newest first: for who comes new it is the site's. What was looked at already is not judged again.
      for (const { id, text } of entries)
        if (!looked.has(id) || text === holder.current?.text) note(holder.take(text));
      looked = new Set(entries.map(({ id }) => id));
    }
    const key = holder.key();
    if (key !== null) {
      const text = await broker.command("GETRANGE", newestOf(key), "0", String(MOST_BOARD_BYTES));
      if (String(text) !== "") note(holder.take(String(text)));
    }
    if (performance.now() - saidAtMs < WORD_EVERY_MS) return;
    const said = word();
    await broker.command("HSET", RELAYS_HASH, said.id, JSON.stringify(said));
    saidAtMs = performance.now();
  });
  return {
    start() {
      broker.start();
      round.start();
    },
    stop() {
      round.stop();
      broker.stop();
    },
    trouble: () => broker.trouble ?? (performance.now() - strangeAtMs < STRANGE_FOR_MS ? strange : undefined),
  };
}

/** What is wrong with what another relay, or a cache before it, hands on. */
const WRONG: Record<NotTaken, string> = {
  "no board": "answers with something that is no board",
  altered: "hands on a board whose signature does not hold",
  "other site": "hands on the board of another site",
  older: "hands on an older board than before",
};

export function webUpstream({ address, holder, word, id, path }: UpstreamPorts): Upstream {
  let trouble: string | undefined = "has not answered yet";
  let etag: string | undefined;
  let circle = false;
  const web = new WebGet(address);
  const look = async (): Promise<string | undefined> => {
    const headers = {
      // In a circle everybody would count everybody, again and again.
      ...(!circle && { [RELAY_HEADER]: JSON.stringify(word()) }),
      ...(etag !== undefined && { "If-None-Match": etag }),
    };
    const asked = etag;
    etag = undefined;
    const answer = await web.ask("/api/board", WEB_PATIENCE_MS, MOST_BOARD_BYTES, headers);
    path.before = readPath(answer.path);
    circle = path.before.includes(id);
    if (circle) {
      path.before = [];
      return "has the board from this relay itself: --from goes round in a circle";
    }
    if (answer.status === 304 && asked !== undefined) {
      etag = asked;
      holder.heard();
      return undefined;
    }
    if (answer.status >= 300 && answer.status < 400)
      return `sends on to another address (${answer.status}): give that one`;
    if (answer.status !== 200) return `answers ${answer.status} instead of a board`;
    const wrong = holder.take(answer.text);
    if (wrong !== null) return WRONG[wrong];
    etag = answer.etag;
    return undefined;
  };
  const round = new Round(WEB_EVERY_MS, async () => {
    try {
      trouble = await look();
    } catch (error) {
      trouble = certificateWords(error, FROM_CA) ?? "does not answer";
    }
  });
  return {
    start: () => round.start(),
    stop() {
      round.stop();
      web.close();
    },
    trouble: () => trouble,
  };
}
