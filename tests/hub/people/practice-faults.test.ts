/**
 * Each fault of a programme, by plan and at a lead's whim, through the hub's door: it strikes whom it should,
 * is over when it should be, over a restart of the hub too, and leaves nothing behind.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import type { EventLog } from "../../../hub/log/event-log.ts";
import { openLog } from "../../../hub/log/site-folder.ts";
import { letIn, plainSocket } from "../../../hub/people/plain-socket.ts";
import { clockHealthOf } from "../../../hub/site/alert-desk.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { viewRun } from "../../../shared/run/views/run-view.ts";
import type { FaultKind } from "../../../shared/run/vocabulary.ts";
import { FAULTS } from "../../../shared/run/vocabulary.ts";
import { asJson } from "../../shared/run/site-world.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";

const RIGS = [
  ...LUXOR_PLAN.rigs,
  { id: "tripod", name: "Tripod", kind: "tripod-camera", operator: "Ben", focalLengthMm: 300 },
];
/** Simulated operators play these; at the third a person's phone is linked. */
const played = ["west", "tripod"];

/** A hub with a practice that may be asked what the site looks like. */
class Practising {
  readonly events: SiteEvent[] = [];
  private constructor(
    readonly hub: TestHub,
    readonly lead: string,
  ) {
    hub.parts.keeper.on("events", (more) => this.events.push(...more));
  }

  static async begun(log?: EventLog): Promise<Practising> {
    const hub = await startTestHub(log);
    const one = new Practising(hub, await hub.signIn());
    if (one.state.plan.rigs.length === 0)
      await hub.call("PUT", "/api/plan", { ...LUXOR_PLAN, rigs: RIGS }, one.lead);
    return one;
  }

  get state() {
    return this.hub.parts.keeper.state;
  }
  get run() {
    return this.state.runs[this.state.practice?.runId ?? ""];
  }
  view() {
    const { parts } = this.hub;
    return viewRun(this.state, parts.presence.get(), clockHealthOf(parts.clock), parts.clock.now());
  }
  rig(id: string) {
    return this.view().rigs.find(({ rig }) => rig.id === id);
  }
  standing(): string[] {
    return this.hub.parts.alerts.standing().map(({ id }) => id);
  }
  linked(): string[] {
    return Object.entries(this.hub.parts.presence.get().rigs).flatMap(([id, all]) =>
      all.length ? [id] : [],
    );
  }
  messages(): string[] {
    return this.state.messages.map(({ text }) => text);
  }
  async start(faults: object[] = [], more: object = {}): Promise<void> {
    const programme = { played, safe: ["west", "tripod"], faults, ...more };
    const begun = { anchor: "C2", offsetS: -600, rate: 4, programme };
    const answer = await this.hub.call("POST", "/api/practice", begun, this.lead);
    expect(answer.status, JSON.stringify(answer.body)).toBe(201);
    await until("both have spoken", () => played.every((id) => this.rig(id)?.filter === "on"));
  }
  fault(body: object) {
    return this.hub.call("POST", "/api/practice/faults", body, this.lead);
  }
  async over(kind: FaultKind): Promise<void> {
    const answer = await this.hub.call("POST", "/api/practice/faults/over", { kind }, this.lead);
    expect(answer.status).toBe(200);
  }
  async list(): Promise<{ kind: FaultKind; on: boolean; rigIds: string[] | null; untilUtcMs: number }[]> {
    return (await this.hub.call("GET", "/api/practice", undefined, this.lead)).body.faults;
  }
  async isOver(kind: FaultKind): Promise<void> {
    await until(`${kind} is over`, async () =>
      (await this.list()).every((one) => one.kind !== kind || !one.on),
    );
  }
  end() {
    return this.hub.call("DELETE", "/api/practice", undefined, this.lead);
  }
  /** A person's phone at the camera without a filter. */
  async person() {
    const { token } = (await this.hub.call("GET", "/api/rigs/wide/link", undefined, this.lead)).body;
    const rigs = [{ id: "wide", token }];
    const phone = plainSocket(this.hub.url, {
      role: "rig",
      protocol: PROTOCOL,
      deviceId: "cleos-phone",
      rigs,
    });
    await letIn(phone);
    await until("the person is there", () => this.linked().includes("wide"));
    return phone;
  }
}

const open: { stop(): Promise<void> }[] = [];
async function begun(log?: EventLog): Promise<Practising> {
  const one = await Practising.begun(log);
  open.push({
    stop: async () => {
      await one.hub.stop();
      expect(one.hub.errors).toEqual([]);
    },
  });
  return one;
}
afterEach(async () => {
  for (const one of open.splice(0)) await one.stop();
});

function thrown(site: Practising, kind: FaultKind) {
  return site.hub.parts.practice.status().faults.findLast((one) => one.kind === kind);
}

/** How each shows, and that it is over; asked until it is so. */
const SHOWS: Record<FaultKind, (site: Practising) => boolean> = {
  "hub gone": (site) => site.linked().length === 0,
  // A page that is loaded again comes in anew.
  "phone reload": (site) => {
    const { atUtcMs } = thrown(site, "phone reload") ?? { atUtcMs: Number.POSITIVE_INFINITY };
    return (site.hub.parts.presence.get().rigs.tripod?.[0]?.sinceUtcMs ?? 0) > atUtcMs;
  },
  cloud: (site) => site.run?.variant.site === "overcast" && site.rig("west")?.sky === "overcast",
  "card full": (site) => site.standing().includes("card-full:west"),
  // Who is missing does not confirm what is asked of them.
  "operator missing": (site) => thrown(site, "operator missing")?.on === true,
  "contact early": (site) => site.run?.shifts.c2 === -3000,
  "clock stepped": (site) => site.standing().includes("clock-stepped"),
};

const LASTING: readonly FaultKind[] = FAULTS.filter(
  (kind) => kind !== "contact early" && kind !== "phone reload",
);

describe("every fault", () => {
  it("comes when it is planned, is over in its time, and leaves nothing behind", async () => {
    const site = await begun();
    const real = asJson(site.state.runs[site.state.realRunId]);
    // At this rate two and a half seconds apart.
    await site.start(
      FAULTS.map((kind, n) => ({ kind, anchor: "C2", offsetS: -580 + 10 * n, forS: 1 })),
      {},
    );
    for (const kind of FAULTS) {
      await until("both are there", () => played.every((id) => site.linked().includes(id)));
      expect(SHOWS[kind](site), `${kind} before its time`).toBe(false);
      await until(`${kind} is there`, () => SHOWS[kind](site), { everyMs: 2 });
      await site.isOver(kind);
      if (LASTING.includes(kind))
        await until(`nothing of ${kind} is left`, () => !SHOWS[kind](site), { everyMs: 2 });
    }
    expect((await site.list()).map(({ kind }) => kind)).toEqual(FAULTS);
    await site.end();
    expect(asJson(site.state.runs[site.state.realRunId])).toEqual(real);
    expect(site.state.messages).toEqual([]);
    await until("no alert of it stands", () => site.standing().every((id) => id === "site-unconfirmed"));
  });

  it("comes at the lead's whim, ends at the lead's word, and with its practice", async () => {
    const site = await begun();
    await site.start();
    for (const kind of FAULTS) {
      expect((await site.fault({ kind, forS: 100 })).status, kind).toBe(201);
      await until(`${kind} is there`, () => SHOWS[kind](site), { everyMs: 2 });
      const { on } = (await site.list()).at(-1) ?? {};
      expect(on, kind).toBe(LASTING.includes(kind));
      if (!on) continue;
      await site.over(kind);
      await until(`nothing of ${kind} is left`, () => !SHOWS[kind](site));
    }
    for (const kind of LASTING) expect((await site.fault({ kind, forS: 100 })).status, kind).toBe(201);
    await site.end();
    expect((await site.list()).every(({ on }) => !on)).toBe(true);
    // The next practice knows nothing of it.
    await site.start();
    expect(site.run).toMatchObject({ shifts: {}, variant: { site: "clear", rigs: {} } });
    expect(site.run?.stepped).toBeUndefined();
    expect(await site.list()).toEqual([]);
    await until("both have room", () => played.every((id) => (site.rig(id)?.cardFreeGB ?? 0) > 4));
  });
});

describe("a fault for a person", () => {
  it("is told them in the order's own words; who was told to step back is called again when it is over", async () => {
    const site = await begun();
    await site.start();
    const phone = await site.person();
    const kind = "operator missing";
    const words = { words: "Paso atrás.", wordsOver: "Siga." };
    await site.fault({ kind, rigIds: ["wide"], forS: 1, ...words });
    await until("told", () => site.messages().join() === "Paso atrás.");
    await until("called again", () => site.messages().join() === "Paso atrás.,Siga.");
    await site.fault({ kind, rigIds: ["wide"], forS: 60 });
    await until("told", () => site.messages().length === 3);
    // Over a cover nobody is told anything else (S7), and after the practice nobody is at all.
    await site.hub.call("POST", "/api/orders", { id: "cover", order: { type: "cover" } }, site.lead);
    await site.isOver(kind);
    expect(site.messages()).toHaveLength(3);
    await site.hub.call("POST", "/api/orders", { id: "off", order: { type: "releaseCover" } }, site.lead);
    await site.fault({ kind, rigIds: ["wide"], forS: 60 });
    await site.end();
    await until("nothing is said any more", () => site.messages().length === 0);
    phone.disconnect();
  });
});

describe("clouds", () => {
  const variantsOf = (site: Practising) => site.run?.variant;

  it("one over the other are one, and what was before the first is there again after the last", async () => {
    const site = await begun();
    const order = (id: string, body: object) =>
      site.hub.call("POST", "/api/orders", { id, order: body }, site.lead);
    await site.start();
    await order("thin", { type: "chooseVariant", variant: "thin", rigIds: ["tripod"] });
    await site.fault({ kind: "cloud", rigIds: ["west"], forS: 100 });
    await until("over west", () => variantsOf(site)?.rigs.west === "overcast");
    await site.fault({ kind: "cloud", forS: 1 });
    await until("over all", () => variantsOf(site)?.site === "overcast");
    expect((await site.list()).filter(({ on }) => on)).toMatchObject([{ kind: "cloud", rigIds: null }]);
    await new Promise((resolve) => setTimeout(resolve, 1500));
    // The first goes on in it, for as long as it was to last.
    expect(variantsOf(site)?.site).toBe("overcast");
    await site.over("cloud");
    await until("gone", () => variantsOf(site)?.site === "clear");
    await until("as before", () => variantsOf(site)?.rigs.tripod === "thin");
    expect(variantsOf(site)?.rigs.west ?? "clear").toBe("clear");
  });

  it("leave alone what a lead has chosen in the middle of one", async () => {
    const site = await begun();
    await site.start();
    await site.fault({ kind: "cloud", forS: 100 });
    await until("it is there", () => variantsOf(site)?.site === "overcast");
    const order = { type: "chooseVariant", variant: "thin", rigIds: null };
    await site.hub.call("POST", "/api/orders", { id: "thin", order }, site.lead);
    await site.over("cloud");
    await site.isOver("cloud");
    expect(variantsOf(site)?.site).toBe("thin");
  });
});

describe("a hub that starts anew in the middle", () => {
  it("ends what had begun, and throws nothing in a second time", async () => {
    const folder = mkdtempSync(join(tmpdir(), "noonfall-faults-"));
    const first = await Practising.begun(openLog(folder, "site"));
    await first.start([{ kind: "contact early", anchor: "C2", offsetS: -580 }]);
    await until("C2 is earlier", () => first.run?.shifts.c2 === -3000);
    for (const kind of ["cloud", "hub gone", "operator missing", "clock stepped"] as const)
      expect((await first.fault({ kind, forS: kind === "hub gone" ? 2 : 4 })).status, kind).toBe(201);
    await first.fault({ kind: "card full", rigIds: ["west"], forS: 100 });
    await until("it clouds over", () => first.run?.variant.site === "overcast");
    const before = await first.list();
    await first.hub.stop();

    const site = await begun(openLog(folder, "site"));
    expect(await site.list()).toEqual(before);
    expect(site.run?.variant.site).toBe("overcast");
    await site.isOver("hub gone");
    await until("they are back", () => played.every((id) => site.linked().includes(id)));
    // Who was missing before is missing still, and says nothing.
    const said = () => site.events.filter(({ type }) => type === "rigReported").length;
    expect((await site.list()).find(({ kind }) => kind === "operator missing")?.on).toBe(true);
    await site.isOver("cloud");
    await until("the sky is clear", () => site.run?.variant.site === "clear");
    await site.isOver("operator missing");
    await until("they speak", () => said() > 0);
    // A card that was full is full for whoever plays the rig now.
    await until("the card is full still", () => site.rig("west")?.cardFreeGB === 0);
    expect(site.run?.shifts.c2).toBe(-3000);
    expect(site.view().doubt.reasons).not.toContain("clock disputed");
    await site.end();
    expect(site.hub.parts.log.getSetting("local:practice-faults")).toBeUndefined();
    rmSync(folder, { recursive: true });
  });

  it("under a cover ends them, and lets everybody in", async () => {
    const folder = mkdtempSync(join(tmpdir(), "noonfall-faults-"));
    const first = await Practising.begun(openLog(folder, "site"));
    await first.start();
    await first.fault({ kind: "hub gone", forS: 100 });
    const kept = first.hub.parts.log.getSetting("local:practice-faults");
    await first.hub.call("POST", "/api/orders", { id: "cover", order: { type: "cover" } }, first.lead);
    await first.isOver("hub gone");
    await first.hub.stop();
    // As if it had been killed between the cover and the end of the fault.
    const log = openLog(folder, "site");
    log.setSetting("local:practice-faults", kept);
    const site = await begun(log);
    await until("they are back", () => played.every((id) => site.linked().includes(id)));
    expect((await site.list()).every(({ on }) => !on)).toBe(true);
    rmSync(folder, { recursive: true });
  });

  it("comes late with one that was due while it was away, for what is left of its time", async () => {
    const folder = mkdtempSync(join(tmpdir(), "noonfall-faults-"));
    const first = await Practising.begun(openLog(folder, "site"));
    await first.start([
      { kind: "cloud", anchor: "C2", offsetS: -576, forS: 8 },
      { kind: "card full", anchor: "C2", offsetS: -576, forS: 1 },
    ]);
    const { startedUtcMs } = first.state.practice ?? { startedUtcMs: 0 };
    await first.hub.stop();
    await until("it is due and the second one over", () => Date.now() - startedUtcMs > 8000);
    const site = await begun(openLog(folder, "site"));
    await until("it clouds over", () => site.run?.variant.site === "overcast");
    expect(
      (await site.list()).map(({ kind, untilUtcMs }) => [
        kind,
        Math.round((untilUtcMs - startedUtcMs) / 1000),
      ]),
    ).toEqual([["cloud", 14]]);
    await site.end();
    rmSync(folder, { recursive: true });
  });
});
