/**
 * What the hub says of a device's links (SPEC L8, L14, L15): which rigs it may speak for, which
 * not and why. A verdict counts for the link it was given on: a new link of a rig has none yet,
 * and replaces the one before only when the hub has taken it.
 *
 * A hub with another log than the one this device holds may be the wrong laptop at the same
 * address, or the right one started with the wrong folder. When it knows none of the links, its
 * word changes nothing: the device goes on from what it holds, and asks again.
 */
import type { Welcome } from "../protocol/messages.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import type { QueuedFact, RefusedRig, RigLink, SavedVerdict } from "./session-types.ts";

/** A hub lets a device speak for at most so many rigs. */
const MOST_LINKS = 20;

export class Admission {
  /** Of the device's own rigs; all of them until a hub has spoken. */
  rigIds: readonly string[];
  refusedRigs: readonly RefusedRig[] = [];
  /** Whether the hub lets this device read on. Assumed until it has spoken. */
  mayRead = true;
  /** Whether it takes what waits here, be it flagged. */
  mayDeliver = true;
  refusal: Refusal | null = null;
  /** The other link of a rig is to be tried at once. */
  again = false;
  formerKept: readonly string[] = [];
  /** Rigs whose newer link was refused in this attempt, with the reason: now the former is tried. */
  private readonly newerRefused = new Map<string, RefusedRig["reason"]>();

  /**
   * @param links of a rig's phone; null for leads, whom links do not concern
   * @param left links of rigs taken off this device, of which it may still hold reports
   */
  constructor(
    public links: readonly RigLink[] | null,
    private readonly left: readonly RigLink[],
  ) {
    this.rigIds = this.ownIds();
  }

  load(saved: readonly SavedVerdict[]): void {
    const given = saved.filter((one) =>
      this.links?.some((link) => link.id === one.rigId && link.token === one.token),
    );
    this.refusedRigs = given.map(({ rigId, reason }) => ({ rigId, reason }));
  }

  /** What is to be known after a reload, too, though no hub is near. */
  verdicts(): SavedVerdict[] {
    return this.refusedRigs.flatMap(({ rigId, reason }) => {
      const token = this.links?.find((link) => link.id === rigId)?.token;
      return token === undefined || reason === "other hub" ? [] : [{ rigId, token, reason }];
    });
  }

  /** @param sameLog whether the hub has the log this device has read, or the device has read none */
  take(welcome: Welcome, sameLog: boolean): void {
    if (this.links) this.judge(welcome, sameLog);
    if (this.mayDeliver) this.refusal = null;
  }

  /** The hub closes the door; where links are at fault, only for a while. */
  refuse(refusal: Refusal): void {
    // Too much came by this link: nothing is wrong with this device, it asks again.
    if (refusal.code !== "too-many") this.refusal = refusal;
  }

  /** The links to speak by: the device's own, and those left of whose rigs something waits here. */
  linksFor(waiting: readonly QueuedFact[]): RigLink[] {
    return [...(this.links ?? []), ...this.leftLinks(waiting)]
      .slice(0, MOST_LINKS)
      .map((link) => this.spokenBy(link));
  }

  leftLinks(waiting: readonly QueuedFact[]): RigLink[] {
    const own = this.ownIds();
    return this.left.filter(({ id }) => !own.includes(id) && waiting.some(({ fact }) => fact.rigId === id));
  }

  /** Whether nothing would come of an attempt: signed out, another version, or no rig to speak for. */
  over(waiting: readonly QueuedFact[]): boolean {
    if (this.refusal) return this.refusal.code !== "not-allowed";
    return this.links?.length === 0 && this.leftLinks(waiting).length === 0;
  }

  private judge(welcome: Welcome, sameLog: boolean): void {
    const own = this.ownIds();
    // A link that was left is still spoken by while it delivers; its rig is none of this device's.
    this.rigIds = welcome.rigIds.filter((id) => own.includes(id));
    this.mayRead = welcome.rigIds.length > 0;
    this.mayDeliver = this.mayRead || welcome.refused.some(({ reason }) => reason !== "bad link");
    const before = this.refusedRigs;
    const saidBefore = (rigId: string) => before.find((one) => one.rigId === rigId);
    const refused = welcome.refused.filter(({ rigId }) => own.includes(rigId));
    const words = refused.map((word) => this.settle(word));
    this.keepTaken(welcome.rigIds);
    this.again = words.includes(null);
    this.refusedRigs = refused.flatMap(({ rigId }, index) => {
      const word = words[index];
      // While the other link is being tried, what was said before stands.
      if (!word) return saidBefore(rigId) ?? [];
      return sameLog || this.mayDeliver ? word : (saidBefore(rigId) ?? { rigId, reason: "other hub" });
    });
  }

  /**
   * A code may be stale or somebody's joke: the link a rig had before is let go only when the hub
   * has taken the newer one, and tried when it has not. Answers what is to be said of a refused rig:
   * null while its former link is being tried, and the milder word when that is refused, too.
   */
  private settle({ rigId, reason }: RefusedRig): RefusedRig | null {
    const link = this.links?.find(({ id }) => id === rigId);
    if (link?.former === undefined) return { rigId, reason };
    const ofNewer = this.newerRefused.get(rigId);
    if (ofNewer === undefined && (reason === "bad link" || reason === "revoked")) {
      this.newerRefused.set(rigId, reason);
      return null;
    }
    this.newerRefused.delete(rigId);
    return { rigId, reason: ofNewer === "revoked" ? ofNewer : reason };
  }

  private keepTaken(rigIds: readonly string[]): void {
    const isSettled = ({ id, former }: RigLink): boolean => former !== undefined && rigIds.includes(id);
    if (!this.links?.some(isSettled)) return;
    this.links = this.links.map((link) => (isSettled(link) ? this.spokenBy(link) : link));
    this.formerKept = [...this.formerKept, ...rigIds.filter((id) => this.newerRefused.delete(id))];
  }

  /** The token by which a rig is spoken for in this attempt. */
  private spokenBy({ id, token, former }: RigLink): RigLink {
    return { id, token: this.newerRefused.has(id) ? (former ?? token) : token };
  }

  private ownIds(): string[] {
    return this.links?.map((link) => link.id) ?? [];
  }
}
