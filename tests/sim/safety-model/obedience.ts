/**
 * Everybody obeys: looks at the page, does what its headline says two seconds later, says so with
 * the button where it is offered and with the filter's own mark else, answers when the page asks,
 * and says "I see totality" only while it truly is. Totality is called by the lead, by the
 * operators or by both within 5 s of the truth. O4: whoever opened is told in time to close.
 */
import { type PhoneShows, pressConfirm, sayFilter } from "./adaptor.ts";
import type { Report, RigNature } from "./oracle.ts";
import type { ModelWorld } from "./steps.ts";
import type { Phone, World } from "./world.ts";

const S = 1000;
const REACTION_MS = 2 * S;

interface Held {
  phone: Phone;
  rig: RigNature;
  /** True time at which the filter came off; null while it is on. */
  openSince: number | null;
  toldAway: boolean;
  toldOn: boolean;
  /** The headline that is being obeyed, and since when it has been seen. */
  seen: { what: string; since: number } | null;
}

export class Obedience {
  private readonly held: Held[];
  private begun = false;
  private called = false;
  private readonly said = new Set<Phone>();

  constructor(
    private readonly world: World,
    private readonly plan: NonNullable<ModelWorld["obey"]>,
    private readonly report: Report,
  ) {
    // Each rig is in the hands of the first phone that has it.
    this.held = world.rigs.flatMap((rig, index) => {
      const phone = world.phones.find(({ rigs }) => rigs.includes(index));
      return phone ? [{ phone, rig, openSince: null, toldAway: false, toldOn: false, seen: null }] : [];
    });
  }

  /** Looks that O4 needs, seconds on the model's scale. */
  timesS(): number[] {
    const { world, plan } = this;
    const { c2, c3 } = world.truth;
    if (c2 === null || c3 === null) return [];
    const s = (at: number) => (at - world.baseMs) / S;
    const times = [s(c2) + plan.callS, s(c3) - 20, s(c3) - 10, s(c3) + 15];
    for (let at = -36; at <= 33; at += 3) times.push(s(c2) + at);
    for (let at = -99; at <= -30; at += 6) times.push(s(c3) + at);
    for (let at = -30; at <= 18; at += 3) times.push(s(c3) + at);
    return times.filter((at) => at > -98);
  }

  go(): void {
    const { world, plan } = this;
    const atS = (world.now - world.baseMs) / S;
    if (atS < plan.fromS) return;
    if (!this.begun) {
      this.begun = true;
      for (const { phone, rig } of this.held)
        if (rig.filtered) world.report(phone, rig.id, { filter: "on", looked: true }, "on");
    }
    this.call();
    // Each act changes what is shown next.
    const pages = new Map<Phone, { facts: number; page: PhoneShows | null }>();
    for (const held of this.held) {
      const facts = world.history.facts.length;
      let seen = pages.get(held.phone);
      if (seen?.facts !== facts) seen = { facts, page: world.shows(held.phone) };
      pages.set(held.phone, seen);
      if (seen.page) this.obey(held, seen.page);
    }
    this.judge();
  }

  private call(): void {
    const { world, plan } = this;
    const { c2 } = world.truth;
    if (c2 === null) return;
    const at = c2 + plan.callS * S;
    if (plan.by !== "operators" && !this.called && world.now >= at - 1) {
      this.called = true;
      world.act({ do: "call", call: "totality" });
    }
    if (plan.by === "lead" || world.now < at - 1 || world.now > c2 + 5 * S) return;
    for (const { phone } of this.held) if (!this.said.has(phone) && world.hold(phone)) this.said.add(phone);
  }

  private obey(held: Held, shows: PhoneShows): void {
    const { world } = this;
    const { phone, rig } = held;
    const { button, instruction, together, due } = shows;
    if (button.kind === "question" && button.rigId === rig.id) {
      const word = held.openSince === null ? "on" : "off";
      const press = sayFilter(shows, rig.id, word, true);
      if (press) world.report(phone, rig.id, press.tap.report, press.word);
    }
    const told = due && instruction ? [instruction, ...together] : [];
    const what = told.find(({ rigId }) => rigId === rig.id) ?? null;
    if (what?.action === "eyes-away") held.toldAway = true;
    if (what?.action === "filter-on") {
      held.toldAway = true;
      held.toldOn = true;
    }
    const wanted =
      what?.unfilters === "filter-off" && held.openSince === null
        ? "off"
        : what?.action === "filter-on" && held.openSince !== null
          ? "on"
          : null;
    if (!wanted) {
      held.seen = null;
      // Whoever is asked whether it is on, and has it on, says so.
      if (what?.action === "filter-on" && button.kind === "confirm" && button.line.rigId === rig.id)
        this.press(held, shows);
      return;
    }
    if (held.seen?.what !== wanted) held.seen = { what: wanted, since: world.now };
    if (world.now - held.seen.since < REACTION_MS) return;
    held.seen = null;
    held.openSince = wanted === "off" ? world.now : null;
    if (wanted === "off") Object.assign(held, { toldAway: false, toldOn: false });
    const own =
      button.kind === "confirm" &&
      button.line.rigId === rig.id &&
      (wanted === "off" ? button.line.unfilters === "filter-off" : button.line.action === "filter-on");
    if (own) this.press(held, shows);
    else {
      const press = sayFilter(shows, rig.id, wanted, false);
      if (press) world.report(phone, rig.id, press.tap.report, press.word);
    }
  }

  private press({ phone, rig }: Held, shows: PhoneShows): void {
    const press = pressConfirm(shows);
    if (press && press.tap.rigId === rig.id) this.world.report(phone, rig.id, press.tap.report, press.word);
  }

  private judge(): void {
    const { world } = this;
    const { c3, c2 } = world.truth;
    if (c2 === null || c3 === null) return;
    for (const { phone, rig, openSince, toldAway, toldOn } of this.held) {
      if (openSince === null) continue;
      const knows = world.knows(world.observePhone(phone));
      const saw = world.history.newest("saw", rig.id, knows, false)?.value === true;
      // Without a call of the eye the prediction stands alone, and O8 holds it to its doubt.
      if (knows.calledAt === null && !saw) continue;
      const by = saw && knows.calledAt === null ? "by its operator" : "by the lead";
      const after = (offsetS: number) => world.now >= c3 + offsetS * S + 1;
      if (openSince >= c3 - (rig.looked ? 20 : 0) * S)
        this.report(`O4 opened when it was time to close, called ${by}`, rig.id);
      const what = `${rig.id}, open since C2${((openSince - c2) / S).toFixed(1)} s`;
      if (rig.looked && after(-20) && !toldAway)
        this.report(`O4 no eyes-away by the true C3−20 s, called ${by}`, what);
      if (after(rig.looked ? -10 : 15) && !toldOn)
        this.report(`O4 no filter-on by the true C3${rig.looked ? "−10" : "+15"} s, called ${by}`, what);
    }
  }
}
