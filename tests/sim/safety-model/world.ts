/**
 * The world of one sequence: true time, a hub with a clock of its own, phones that follow it as
 * far as their links let them, a board, and people. It makes things happen and writes them down in
 * the model's own record; what is right is the oracle's.
 */
import {
  type BoardSnapshot,
  type ClockSaid,
  Hub,
  keptBy,
  type PhoneShows,
  type Predicted,
  type Press,
  phoneShows,
  planHasCue,
  presenceOf,
  pressConfirm,
  pressFilter,
  type Report,
  runIdOf,
  type SiteState,
  sayFilter,
  snapshotOf,
  sunIsUp,
} from "./adaptor.ts";
import { clockOfHub, Lead } from "./lead.ts";
import { natureOf, type RigNature, sawIsCredible } from "./oracle.ts";
import { aside, predicted, spotOf } from "./places.ts";
import { History, type Knows, type Observer, type RigFact, type Word } from "./record.ts";
import type { Act, HubClock, ModelWorld } from "./steps.ts";

type Queued = { id: string; fact: Parameters<Hub["fact"]>[0]["fact"]; mirror: RigFact[] };

export interface Phone {
  index: number;
  deviceId: string;
  rigs: number[];
  linked: boolean;
  /** What it follows: the hub's clock as it last heard it. */
  hub: HubClock;
  errMs: number;
  boundMs: number;
  base: SiteState;
  cover: boolean | null;
  queue: Queued[];
  /** Rigs whose link was replaced, and what of it the phone has been told. */
  revokedAtHub: Set<string>;
  revoked: Set<string>;
  n: number;
  undo: { press: Press; at: number }[];
}

const UNDO_MS = 8000;
const MINUTE = 60_000;

export class World {
  readonly hub = new Hub();
  readonly history = new History();
  readonly rigs: RigNature[];
  readonly phones: Phone[];
  readonly board: { linked: boolean; snapshot: BoardSnapshot; seq: number; hub: HubClock; cover: boolean };
  hubClock: HubClock;
  /** True UTC of `atS` = 0. */
  readonly baseMs: number;
  now: number;
  /** The sky where the site truly is. */
  readonly truth: Predicted;
  private readonly lead: Lead;

  constructor(readonly setUp: ModelWorld) {
    const { placeBoundM, hub } = setUp;
    const spot = spotOf(setUp.place);
    this.hubClock = hub;
    this.rigs = setUp.rigs.map(natureOf);
    const sky = predicted(spot, placeBoundM);
    this.truth = predicted(aside(spot, setUp.northM, setUp.eastM), 50);
    const anchor = sky.kind === "total" ? sky.c2 : sky.max;
    if (anchor === null || sky.c1 === null) throw new Error("this place has no eclipse");
    // A practice in the morning of the day, or on the night before.
    const early = setUp.practice === "day" ? 90 * MINUTE : 10 * 60 * MINUTE;
    const startOffsetS = -100;
    this.baseMs = setUp.practice ? sky.c1 - early - startOffsetS * 1000 : anchor;
    this.now = (setUp.practice ? this.baseMs : anchor) + startOffsetS * 1000;
    this.lead = new Lead(this, spot);
    // Planned and looked at long before, by a good clock.
    this.lead.firstPlan(this.now - 30 * MINUTE);
    this.phones = setUp.phones.map(({ rigs: held, errMs, boundMs }, index) => ({
      index,
      deviceId: `device-${index}`,
      rigs: held,
      linked: true,
      hub,
      errMs,
      boundMs,
      base: this.hub.state,
      cover: null,
      queue: [],
      revokedAtHub: new Set<string>(),
      revoked: new Set<string>(),
      n: 0,
      undo: [],
    }));
    const snapshot = snapshotOf(this.hub, this.hubNow, this.clockAtHub());
    this.board = { linked: true, snapshot, seq: 0, hub, cover: false };
    if (setUp.practice) this.lead.startPractice(sky.kind === "total" ? "C2" : "max", startOffsetS);
    this.sync();
  }

  get hubNow(): number {
    return this.now + this.hubClock.errMs;
  }

  nowOf(phone: Phone): number {
    return this.now + phone.hub.errMs + phone.errMs;
  }

  clockAtHub(): ClockSaid {
    return clockOfHub(this.hubClock);
  }

  clockOf(phone: Phone): ClockSaid {
    return { ...clockOfHub(phone.hub), boundMs: phone.boundMs };
  }

  get boardNow(): number {
    return this.now + this.board.hub.errMs;
  }

  boardClock(): ClockSaid {
    return { ...clockOfHub(this.board.hub), boundMs: 5 };
  }

  // -------------------------------------------------------------- what observers know

  observeHub(): Observer {
    return {
      name: "hub",
      seq: this.hub.state.seq,
      deviceId: null,
      nowUtc: this.hubNow,
      clock: this.clockAtHub(),
      cover: null,
    };
  }

  observePhone(phone: Phone): Observer {
    return {
      name: `phone ${phone.index}`,
      seq: phone.base.seq,
      deviceId: phone.deviceId,
      nowUtc: this.nowOf(phone),
      clock: this.clockOf(phone),
      cover: phone.cover,
    };
  }

  observeBoard(): Observer {
    const { seq } = this.board;
    return {
      name: "board",
      seq,
      deviceId: null,
      nowUtc: this.boardNow,
      clock: this.boardClock(),
      cover: null,
    };
  }

  knows(observer: Observer): Knows {
    return this.history.knows(observer);
  }

  presence() {
    return presenceOf(
      this.phones
        .filter(({ linked }) => linked)
        .map(({ deviceId, rigs }) => ({ deviceId, rigIds: rigs.map((i) => this.rigIdAt(i)) })),
    );
  }

  shows(phone: Phone): PhoneShows | null {
    return phoneShows({
      base: phone.base,
      queue: phone.queue,
      deviceId: phone.deviceId,
      nowMs: this.nowOf(phone),
      clock: this.clockOf(phone),
      cover: phone.cover ?? phone.base.cover !== null,
      rigIds: phone.rigs.map((i) => this.rigIdAt(i)),
      revoked: [...phone.revoked],
      linked: phone.linked,
      presence: this.presence(),
    });
  }

  rigIdAt(index: number): string {
    return this.rigs[index]?.id ?? "";
  }

  /** Everybody who is linked hears what the hub has. */
  sync(): void {
    for (const phone of this.phones) {
      if (!phone.linked) continue;
      phone.hub = this.hubClock;
      for (const id of phone.revokedAtHub) phone.revoked.add(id);
      for (const item of phone.queue) {
        this.hub.fact(item, phone.deviceId, this.hubNow, phone.revokedAtHub.has(item.fact.rigId));
        for (const mirror of item.mirror) {
          mirror.seq = this.hub.state.seq;
          // Nothing is dated later than it arrived.
          mirror.stampUtc = Math.min(mirror.stampUtc, this.hubNow);
        }
        if (!this.reads(phone)) phone.base = keptBy(phone.base, item, phone.deviceId, this.nowOf(phone));
      }
      phone.queue = [];
    }
    for (const phone of this.phones) {
      if (!phone.linked) continue;
      const cover = this.hub.state.cover !== null;
      if (this.reads(phone)) {
        phone.base = this.hub.state;
        phone.cover = null;
      } else phone.cover = cover;
    }
    const { board } = this;
    if (!board.linked) return;
    board.hub = this.hubClock;
    board.seq = this.hub.state.seq;
    board.snapshot = snapshotOf(this.hub, this.hubNow, this.clockAtHub());
  }

  /** A phone none of whose links is good any more hears nothing but the cover. */
  private reads(phone: Phone): boolean {
    return phone.rigs.some((i) => !phone.revoked.has(this.rigIdAt(i)));
  }

  // -------------------------------------------------------------- acts

  act(act: Act): void {
    const phone = "phone" in act ? this.phones[act.phone] : undefined;
    if ("phone" in act && !phone) return;
    switch (act.do) {
      case "confirm":
        this.press(phone as Phone, pressConfirm);
        break;
      case "tap":
        this.press(phone as Phone, (shows) => pressFilter(shows, this.rigIdAt(act.rig)));
        break;
      case "say":
        this.press(phone as Phone, (shows) => sayFilter(shows, this.rigIdAt(act.rig), act.word, act.looked));
        break;
      case "saw":
        this.hold(phone as Phone);
        break;
      case "sawReport":
        this.report(phone as Phone, this.rigIdAt(act.rig), { sawTotality: act.value }, null);
        break;
      case "mark": {
        const id = this.rigIdAt(act.rig);
        const says = act.as === "cueDone" && planHasCue(this.hub.state, id, act.cue);
        const said = says && act.cue === "filter-on" ? "on" : says && act.cue === "filter-off" ? "off" : null;
        this.report(phone as Phone, id, { [act.as]: act.cue }, said);
        break;
      }
      case "undo":
        this.undo(phone as Phone);
        break;
      case "sky":
        this.report(phone as Phone, this.rigIdAt(act.rig), { sky: act.sky }, null);
        break;
      case "practiceSafe":
        this.report(phone as Phone, this.rigIdAt(act.rig), { practiceSafe: act.value }, null);
        break;
      case "link":
        (phone as Phone).linked = act.up;
        this.sync();
        break;
      case "reload": {
        const page = phone as Phone;
        page.base = JSON.parse(JSON.stringify(page.base)) as SiteState;
        page.undo = [];
        break;
      }
      case "phoneClock":
        Object.assign(phone as Phone, { errMs: act.errMs, boundMs: act.boundMs });
        break;
      case "boardLink":
        this.board.linked = act.up;
        this.sync();
        break;
      case "hubClock":
        this.hubClock = act.hub;
        this.sync();
        break;
      default:
        this.lead.act(act);
        this.sync();
    }
  }

  private press(phone: Phone, how: (shows: PhoneShows) => Press | null): void {
    const shows = this.shows(phone);
    const press = shows && how(shows);
    if (!press) return;
    this.report(phone, press.tap.rigId, press.tap.report, press.word);
    phone.undo = [{ press, at: this.now }];
  }

  /** "I see totality", where the page offers it. */
  hold(phone: Phone): boolean {
    const shows = this.shows(phone);
    if (shows?.button.kind !== "totality") return false;
    for (const id of shows.button.rigIds) this.report(phone, id, { sawTotality: true }, null);
    phone.undo = shows.button.rigIds.map((id) => ({
      press: { tap: { rigId: id, report: { sawTotality: true }, undo: { sawTotality: false } }, word: null },
      at: this.now,
    }));
    return true;
  }

  private undo(phone: Phone): void {
    const taken = phone.undo.filter(({ at }) => this.now - at < UNDO_MS);
    phone.undo = [];
    for (const { press } of taken) {
      const { rigId: id, undo } = press.tap;
      if (undo && Object.keys(undo).length > 0) this.report(phone, id, undo, undo.filter ?? null);
    }
  }

  /** A report of a phone; `word` is what it says of the filter, where it says it otherwise than in so many words. */
  report(phone: Phone, id: string, report: Report, word: Word | null): void {
    if (!this.rigs.some((rig) => rig.id === id)) return;
    const nowMs = this.nowOf(phone);
    const n = phone.n++;
    const knows = this.knows(this.observePhone(phone));
    const common = {
      seq: null,
      deviceId: phone.deviceId,
      n,
      stampUtc: nowMs,
      stampRun: knows.t,
      trueMs: this.now,
      run: knows.run,
      rigId: id,
    };
    const mirror: RigFact[] = [];
    const said = report.filter ?? (this.touches(knows, id) ? null : word);
    if (said) mirror.push({ ...common, kind: "word", word: said, looked: report.looked ?? false });
    if (report.sawTotality !== undefined)
      mirror.push({ ...common, kind: "saw", value: report.sawTotality, credible: sawIsCredible(knows) });
    if (report.sky) mirror.push({ ...common, kind: "sky", sky: report.sky });
    if (report.practiceSafe !== undefined)
      mirror.push({ ...common, kind: "practiceSafe", value: report.practiceSafe });
    this.history.facts.push(...mirror);
    const fact = {
      v: 1 as const,
      rigId: id,
      runId: runIdOf(phone.base, nowMs),
      deviceSeq: n,
      observedUtcMs: nowMs,
      boundMs: phone.boundMs,
      report,
    };
    phone.queue = [...phone.queue, { id: `fact-${phone.index}-${n}`, fact, mirror }];
    this.sync();
  }

  /** S8: a confirm in a practice under the real Sun says nothing of the filter, unless the rig was reported safe. */
  private touches(knows: Knows, id: string): boolean {
    if (!sunIsUp(knows.seenBy.nowUtc, knows.spot)) return false;
    return knows.practice && !this.history.newest("practiceSafe", id, knows, false)?.value;
  }
}
