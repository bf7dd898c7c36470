/**
 * The lead: gives orders to the hub, and writes those that were taken into the model's own record.
 */
import { type ClockSaid, type Order, type Plan, readDraft, standingCalls } from "./adaptor.ts";
import { aside, predicted, RIG_DRAFTS, rigId, type Spot, spotOf } from "./places.ts";
import type { OrderFact } from "./record.ts";
import type { Act, HubClock } from "./steps.ts";
import type { World } from "./world.ts";

export class Lead {
  private ids = 0;
  private practice: { run: string; atUtc: number; startRun: number } | null = null;
  private readonly placeBoundM: number;

  constructor(
    private readonly world: World,
    private spot: Spot,
  ) {
    this.placeBoundM = world.setUp.placeBoundM;
  }

  firstPlan(longAgo: number): void {
    const { hub, setUp } = this.world;
    const { placeBoundM } = setUp;
    const rigs = setUp.rigs.map((name) => ({ ...RIG_DRAFTS[name], id: rigId(name), name }));
    const { eclipse, latDeg, lonDeg } = this.spot;
    const site = { name: "Field", latDeg, lonDeg, heightM: 0, placeBoundM, confirmed: setUp.confirmed };
    const order: Order = { type: "savePlan", draft: readDraft({ eclipse, site, rigs }), ifRevision: 0 };
    const { refused } = hub.order(order, longAgo, clockOfHub(QUIET));
    if (refused) throw new Error(`the first plan was refused: ${refused}`);
    if (setUp.once) this.withoutSeries(longAgo);
    this.writePlace(longAgo, setUp.confirmed, false);
  }

  private withoutSeries(atUtc: number): void {
    const { plan } = this.world.hub.state;
    const rigs = plan.rigs.map((rig) => ({
      ...rig,
      cues: rig.cues.map((cue) => ({ ...cue, repeat: null })),
    }));
    const order: Order = { type: "savePlan", draft: { ...plan, rigs }, ifRevision: plan.revision };
    const { refused } = this.world.hub.order(order, atUtc, clockOfHub(QUIET));
    if (refused) throw new Error(`a plan without series was refused: ${refused}`);
  }

  private order(order: Order): ReturnType<World["hub"]["order"]> {
    return this.world.hub.order(order, this.world.hubNow, this.world.clockAtHub());
  }

  private write(fact: OrderPart, atUtc = this.world.hubNow): void {
    const { practice } = this;
    const atRun = practice ? practice.startRun + atUtc - practice.atUtc : atUtc;
    const trueMs = atUtc - this.world.hubClock.errMs;
    const common = { seq: this.world.hub.state.seq, atUtc, atRun, trueMs, run: practice?.run ?? "real" };
    this.world.history.orders.push({ ...fact, ...common } as OrderFact);
  }

  private writePlace(atUtc: number, confirmed: boolean, moved: boolean): void {
    const sky = predicted(this.spot, this.placeBoundM);
    this.write({ kind: "place", spot: this.spot, predicted: sky, confirmed, moved }, atUtc);
  }

  /** Whether the order was taken. */
  act(act: Act): boolean {
    switch (act.do) {
      case "call": {
        const { refused, commandId, happened } = this.order({ type: "call", call: act.call });
        const kind = act.call === "totality" ? "totality" : act.call === "sun returns" ? "returns" : "stay";
        if (happened) this.write({ kind, callId: commandId });
        return !refused;
      }
      case "takeBack": {
        const standing = standingCalls(this.world.hub.state, this.world.hubNow);
        const found = standing.at(-1 - act.nth);
        if (!found || this.order({ type: "takeBackCall", callId: found.callId }).refused) return false;
        this.write({ kind: "takeBack", callId: found.callId });
        return true;
      }
      case "cover":
        if (this.order({ type: "cover" }).refused) return false;
        this.write({ kind: "cover" });
        return true;
      case "release":
        if (this.order({ type: "releaseCover" }).refused) return false;
        this.write({ kind: "release" });
        return true;
      case "shift":
        if (this.order({ type: "shiftContact", contact: act.contact, shiftS: act.shiftS }).refused)
          return false;
        this.write({ kind: "shift", contact: act.contact, shiftMs: act.shiftS * 1000 });
        return true;
      case "move":
        return this.savePlan({ spot: spotOf(act.place) });
      case "nudge":
        return this.savePlan({ spot: aside(this.spot, act.northM, 0) });
      case "confirmSite":
        return this.savePlan({ confirmed: act.confirmed });
      case "edit":
        return this.savePlan({ edit: act });
      case "revoke": {
        const id = this.world.rigIdAt(act.rig);
        if (this.order({ type: "revokeLink", rigId: id }).refused) return false;
        for (const phone of this.world.phones) if (phone.rigs.includes(act.rig)) phone.revokedAtHub.add(id);
        return true;
      }
      case "practice":
        return this.startPractice(predicted(this.spot, 50).kind === "total" ? "C2" : "max", act.offsetS);
      case "endPractice":
        if (!this.practice || this.order({ type: "endPractice" }).refused) return false;
        this.write({ kind: "practiceEnd" });
        this.practice = null;
        return true;
      default:
        return false;
    }
  }

  startPractice(anchor: "C2" | "max", offsetS: number): boolean {
    if (this.order({ type: "startPractice", anchor, offsetS, rate: 1 }).refused) return false;
    const sky = predicted(this.spot, this.placeBoundM);
    const at = anchor === "C2" ? sky.c2 : sky.max;
    const startRun = (at ?? 0) + offsetS * 1000;
    this.practice = { run: `practice-${++this.ids}`, atUtc: this.world.hubNow, startRun };
    this.write({ kind: "practice", startRun });
    return true;
  }

  private savePlan(change: {
    spot?: Spot;
    confirmed?: boolean;
    edit?: Extract<Act, { do: "edit" }>;
  }): boolean {
    const { plan } = this.world.hub.state;
    if (!plan.site) return false;
    const spot = change.spot ?? this.spot;
    const confirmed = change.confirmed ?? plan.site.confirmed;
    const site = { ...plan.site, latDeg: spot.latDeg, lonDeg: spot.lonDeg, confirmed };
    const rigs = plan.rigs.map((rig) =>
      change.edit && rig.id === this.world.rigIdAt(change.edit.rig)
        ? {
            ...rig,
            cues: rig.cues.map((cue) =>
              cue.id === change.edit?.edit.cue ? edited(cue, change.edit.edit) : cue,
            ),
          }
        : rig,
    );
    const draft = { ...plan, eclipse: spot.eclipse, site, rigs };
    if (this.order({ type: "savePlan", draft, ifRevision: plan.revision }).refused) return false;
    const moved = spot.latDeg !== this.spot.latDeg || spot.lonDeg !== this.spot.lonDeg;
    this.spot = spot;
    // A practice hangs on the contacts it began with.
    if (this.practice && this.world.hub.state.practice === null) {
      this.write({ kind: "practiceEnd" });
      this.practice = null;
    }
    this.writePlace(this.world.hubNow, confirmed, moved);
    return true;
  }
}

type OrderPart = OrderFact extends infer F
  ? F extends OrderFact
    ? Omit<F, "seq" | "atUtc" | "atRun" | "trueMs" | "run">
    : never
  : never;

const QUIET: HubClock = { errMs: 0, boundMs: 20, apartMs: 0, disputed: false, stepped: false };

export function clockOfHub({ boundMs, apartMs, disputed, stepped }: HubClock): ClockSaid {
  return { boundMs: 0, hubBoundMs: boundMs, apartMs, disputed, stepped };
}

function edited(
  cue: Plan["rigs"][number]["cues"][number],
  edit: Extract<Act, { do: "edit" }>["edit"],
): typeof cue {
  switch (edit.kind) {
    case "off":
      return { ...cue, on: false };
    case "on":
      return { ...cue, on: true };
    case "offset":
      return { ...cue, offsetS: cue.offsetS + edit.byS };
    case "say":
      return { ...cue, say: edit.words };
  }
}
