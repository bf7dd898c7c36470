/** Contacts as seen, through the interface: a call by eye and two frames against the prediction. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { solveIntervals } from "../../../shared/images/camera-clock/solve.ts";
import { seenByCall, seenByFrames } from "../../../shared/images/contacts/contact-seen.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let token: string;
let c2: number;

beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token);
  c2 = Date.parse((await hub.call("GET", "/api/run", undefined, token)).body.contacts.c2.utc);
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const seen = async () => (await hub.call("GET", "/api/contacts-seen", undefined, token)).body;
let orders = 0;
const order = (one: object) => hub.call("POST", "/api/orders", { id: `seen-${++orders}`, order: one }, token);
const frames = { type: "noteSeenContact", contact: "c2", rigId: "west", camera: "A", stepMs: 10 };

describe("two frames of a camera whose clock is known", () => {
  it("say by how much the contact was later, within what, and of what that is made", async () => {
    expect(await seen()).toMatchObject({ eclipse: "2027-08-02", place: { latDeg: 25.5 }, contacts: [] });
    // Camera A is 3 s ahead, within 0.1 s at C2: typed by hand.
    const basis = { how: "hand", offsetS: 3, boundS: 0.1, utcMs: c2 };
    await hub.call("POST", "/api/camera-clocks", { rigId: "west", camera: "A", basis }, token);
    // Last bare Sun 0.6 s after the prediction, first without at 0.8 s: by its own clock 3 s later.
    const pair = { beforeMs: c2 + 3600, afterMs: c2 + 3800, beforeName: "b.jpg", afterName: "=a.jpg" };
    expect((await order({ ...frames, ...pair })).status).toBe(200);
    const { contacts } = await seen();
    expect(contacts).toHaveLength(1);
    expect(contacts[0]).toMatchObject({ contact: "c2", method: "frames", rigId: "west", camera: "A" });
    // In the middle, and half a stamp's step later; half of 0.2 s, 0.1 s of clock, half a step.
    expect(contacts[0].laterS).toBeCloseTo(0.705, 3);
    expect(contacts[0].boundS).toBeCloseTo(0.205, 3);
    const sum = contacts[0].parts.reduce((all: number, part: { s: number }) => all + part.s, 0);
    expect(sum).toBeCloseTo(contacts[0].boundS, 6);
    const { body: table } = await hub.call("GET", "/api/contacts-seen.csv", undefined, token);
    expect(table).toContain("2027-08-02,25.5,32.6,80,");
    expect(table).toContain(",c2,frames,west,A,");
  });

  it("are replaced by later ones of the same camera; both stay in the log", async () => {
    await order({ ...frames, beforeMs: c2 + 3000, afterMs: c2 + 3100 });
    const { contacts } = await seen();
    expect(contacts).toHaveLength(1);
    expect(contacts[0].laterS).toBeCloseTo(0.055, 3);
    const { events } = (await hub.call("GET", "/api/log.json", undefined, token)).body;
    expect(events.filter(({ type }: { type: string }) => type === "contactSeen")).toHaveLength(2);
  });

  it("say nothing while the camera's clock is unknown", async () => {
    await order({ ...frames, camera: "B", beforeMs: c2, afterMs: c2 + 100 });
    expect((await seen()).contacts).toHaveLength(1);
  });

  it.each([
    ["the wrong way round", { beforeMs: 1.8e12, afterMs: 1.8e12 - 1 }, "order.afterMs", "afterMs"],
    ["of no contact", { contact: "max", beforeMs: 1.8e12, afterMs: 1.8e12 }, "order.contact", "contact"],
    ["of no rig", { rigId: "north", beforeMs: 1.8e12, afterMs: 1.8e12 }, "order.rigId", "rigId"],
  ])("are refused %s, by the field's name", async (_how, wrong, long, short) => {
    const answer = await order({ ...frames, ...wrong });
    expect(answer.status).toBeGreaterThanOrEqual(400);
    expect([long, short]).toContain(answer.body.error.field);
  });
});

describe("by hand", () => {
  it("a call of totality lies 0.1 to 1.6 s after what was seen, the Sun's return 0.05 to 0.7 s", () => {
    expect(seenByCall("totality", 10_000)).toMatchObject({ utcMs: 9150, boundMs: 750 });
    expect(seenByCall("sun returns", 10_000)).toMatchObject({ utcMs: 9625, boundMs: 325 });
  });

  it("frames in the wrong order give nothing", () => {
    const clock = solveIntervals([{ utcMs: 0, leastMs: -100, mostMs: 100 }]);
    expect(seenByFrames(clock as never, { beforeMs: 10, afterMs: 9, stepMs: 0 })).toBeNull();
  });
});
