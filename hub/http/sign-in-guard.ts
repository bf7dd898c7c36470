/**
 * The door for leads: slows guessing down, and lets nobody keep the hub or the true lead busy.
 *
 * Every try counts before it is looked at, and is given back when it was right. Five wrong ones
 * from an address in a minute and it waits a minute; a hundred in ten minutes from everywhere and
 * all new sign-ins from the network wait. The hub's own machine has a budget of its own, which
 * strangers cannot use up; one-time codes have theirs, since a lead who is in must be able to let
 * another device in meanwhile. Sessions that are open are never touched.
 *
 * PINs are derived one at a time, off the event loop; the line is short, and the hub's own machine
 * stands at its head.
 */
import type { IncomingMessage } from "node:http";
import { RateLimiterMemory, type RateLimiterRes } from "rate-limiter-flexible";
import { isOwnMachine } from "../network/own-machine.ts";

/** PINs that wait to be looked at: of everybody else, and of the hub's own machine. */
const MOST_WAITING = { others: 20, own: 5 };
/** Sign-ins of one address that may be under way at once; a person has one. */
const MOST_UNDER_WAY = 10;

interface Knock {
  address: string;
  /** From the machine the hub runs on. */
  own: boolean;
}

export type SignInVerdict = "right" | "wrong" | { waitS: number };

interface Waiting {
  pin: string;
  done: (right: boolean) => void;
  failed: (error: unknown) => void;
}

export class SignInGuard {
  private readonly perAddress = new RateLimiterMemory({ points: 5, duration: 60, blockDuration: 60 });
  private readonly everywhere = new RateLimiterMemory({ points: 100, duration: 600, blockDuration: 60 });
  private readonly ownMachine = new RateLimiterMemory({ points: 5, duration: 60, blockDuration: 60 });
  private readonly codes = new RateLimiterMemory({ points: 10, duration: 60, blockDuration: 60 });
  private readonly line: { own: Waiting[]; others: Waiting[] } = { own: [], others: [] };
  private readonly underWay = new Map<string, number>();
  private looking = false;

  constructor(private readonly isRight: (pin: string) => Promise<boolean>) {}

  /**
   * Before anything is read: false when this address has more sign-ins under way than a person
   * can. Otherwise `left` is to be called when the request is over.
   */
  arrives({ address }: Knock): boolean {
    const count = this.underWay.get(address) ?? 0;
    if (count >= MOST_UNDER_WAY) return false;
    this.underWay.set(address, count + 1);
    return true;
  }

  left({ address }: Knock): void {
    const count = (this.underWay.get(address) ?? 1) - 1;
    if (count > 0) this.underWay.set(address, count);
    else this.underWay.delete(address);
  }

  async pin(knock: Knock, pin: string): Promise<SignInVerdict> {
    const budgets: [RateLimiterMemory, string][] = knock.own
      ? [[this.ownMachine, "own"]]
      : [
          [this.perAddress, knock.address],
          [this.everywhere, "all"],
        ];
    for (const [limiter, key] of budgets) {
      const waitS = await taken(limiter, key);
      if (waitS > 0) return { waitS };
    }
    const right = await this.lookAt(knock, pin);
    if (right === undefined || right) await Promise.all(budgets.map(([limiter, key]) => limiter.reward(key)));
    if (right === undefined) return { waitS: 2 };
    return right ? "right" : "wrong";
  }

  /** A one-time code; `take` looks at it and uses it up. */
  async code(knock: Knock, take: () => boolean): Promise<SignInVerdict> {
    const key = knock.own ? "own" : knock.address;
    const waitS = await taken(this.codes, key);
    if (waitS > 0) return { waitS };
    if (!take()) return "wrong";
    await this.codes.reward(key);
    return "right";
  }

  /** Undefined when too many wait already. */
  private lookAt({ own }: Knock, pin: string): Promise<boolean | undefined> {
    const [line, most] = own ? [this.line.own, MOST_WAITING.own] : [this.line.others, MOST_WAITING.others];
    if (line.length >= most) return Promise.resolve(undefined);
    return new Promise((done, failed) => {
      line.push({ pin, done, failed });
      void this.next();
    });
  }

  private async next(): Promise<void> {
    if (this.looking) return;
    this.looking = true;
    for (;;) {
      const one = this.line.own.shift() ?? this.line.others.shift();
      if (!one) break;
      await this.isRight(one.pin).then(one.done, one.failed);
    }
    this.looking = false;
  }
}

/** Who knocks. */
export function knockOf(request: IncomingMessage): Knock {
  const { socket } = request;
  const own = isOwnMachine(socket);
  return { address: own ? "own" : (socket.remoteAddress ?? ""), own };
}

/** Takes one try; seconds to wait when there is none left. */
async function taken(limiter: RateLimiterMemory, key: string): Promise<number> {
  try {
    await limiter.consume(key);
    return 0;
  } catch (error) {
    if (error instanceof Error) throw error;
    return Math.max(1, Math.ceil((error as RateLimiterRes).msBeforeNext / 1000));
  }
}
