/**
 * How much one rig's link may send, over sockets and HTTP together: far above what any person does
 * and what a phone sends that was away for hours, far below what would make others wait. Beyond it
 * the answer is "too-many" with the time to wait, which an outbox understands; nothing is lost.
 * A link that goes on and on is noisy: the lead is told, who can replace it. (One that was replaced
 * is not: there is nothing left to be done about it.)
 *
 * Links are told apart by rig and by whether they were revoked, so that who holds an old one
 * takes nothing away from who holds the new one.
 */

/** A bucket holds `burst` and refills with `perS` a second. */
const REPORTS = { burst: 300, perS: 10 };
/** What a revoked link's phone had queued is still taken (SPEC L8), slowly. */
const REVOKED_REPORTS = { burst: 100, perS: 1 };
/** Coming in and asking for the whole state, each of which sends a good deal. */
const ENTRIES = { burst: 60, perS: 2 };
/** Sockets of one link at one time. A rig has a phone or two. */
export const MOST_SOCKETS = 30;
/** Refusals within NOISE_MS that make a link noisy: a phone that waits when told to has none. */
const NOISY_FROM = 50;
const NOISE_MS = 60_000;
/** Told to wait for as many reports as an outbox sends at once. */
const BATCH = 20;

interface Bucket {
  left: number;
  atMono: number;
}

interface Noise {
  refusals: number;
  sinceMono: number;
  untilMono: number;
}

export class LinkLimits {
  private readonly buckets = new Map<string, Bucket>();
  private readonly noise = new Map<string, Noise>();

  /** `mono` never goes back, ms. */
  constructor(private readonly mono: () => number = () => performance.now()) {}

  /** 0 when a report may be looked at; else how long to wait, ms. */
  report(rigId: string, revoked: boolean): number {
    const { burst, perS } = revoked ? REVOKED_REPORTS : REPORTS;
    if (this.take(`report ${revoked} ${rigId}`, burst, perS)) return 0;
    if (!revoked) this.noteRefusal(rigId);
    return (BATCH / perS) * 1000;
  }

  /** 0 when a socket of this link may come in, or be sent the whole state; else ms to wait. */
  entry(rigId: string, revoked: boolean, cost = 1): number {
    if (this.take(`entry ${revoked} ${rigId}`, ENTRIES.burst, ENTRIES.perS, cost)) return 0;
    if (!revoked) this.noteRefusal(rigId);
    return 5000;
  }

  /** Something else was too much, e.g. messages in one second. */
  noteRefusal(rigId: string): void {
    const now = this.mono();
    const known = this.noise.get(rigId);
    const goesOn = known !== undefined && now - known.sinceMono < NOISE_MS;
    const refusals = (goesOn ? known.refusals : 0) + 1;
    this.noise.set(rigId, {
      refusals,
      sinceMono: goesOn ? known.sinceMono : now,
      untilMono: refusals >= NOISY_FROM ? now + NOISE_MS : (known?.untilMono ?? 0),
    });
  }

  /** Rigs one of whose links is noisy. */
  noisyRigs(): string[] {
    const now = this.mono();
    return [...this.noise].filter(([, { untilMono }]) => untilMono > now).map(([rigId]) => rigId);
  }

  /** Its link was replaced: what is noisy from now on is another one. */
  forget(rigId: string): void {
    this.noise.delete(rigId);
    for (const revoked of [true, false])
      for (const kind of ["report", "entry"]) this.buckets.delete(`${kind} ${revoked} ${rigId}`);
  }

  private take(key: string, burst: number, perS: number, cost = 1): boolean {
    const now = this.mono();
    const known = this.buckets.get(key) ?? { left: burst, atMono: now };
    const left = Math.min(burst, known.left + ((now - known.atMono) / 1000) * perS);
    const enough = left >= cost;
    this.buckets.set(key, { left: enough ? left - cost : left, atMono: now });
    return enough;
  }
}
