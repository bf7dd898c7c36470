/** Which Sun the answers are for, and what the place leaves open of the length. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
beforeAll(async () => {
  hub = await startTestHub();
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

async function ask(query: string): Promise<any> {
  const { status, body } = await hub.call("GET", `/api/circumstances?${query}`);
  expect(status, JSON.stringify(body)).toBe(200);
  return body;
}
const LUXOR = "eclipse=2027-08-02&lat=25.69&lon=32.64&height=80";
const RING = "eclipse=2028-01-26&lat=3&lon=-51.5";

describe("the Sun that is asked for", () => {
  it.each([
    ["a totality", LUXOR, 1],
    ["a ring", RING, -1],
  ])("moves limb, never contacts, of %s", async (_what, place, sign) => {
    const [byDefault, eclipses, canon, larger] = await Promise.all(
      ["", "&solarRadius=959.95", "&solarRadius=959.63", "&solarRadius=960.2"].map((more) =>
        ask(place + more),
      ),
    );
    expect(eclipses).toEqual(byDefault);
    for (const { contacts, durationS } of [canon, larger])
      expect({ contacts, durationS }).toEqual({
        contacts: byDefault.contacts,
        durationS: byDefault.durationS,
      });
    // A larger Sun: totality later and shorter, a ring sooner and longer. 0.32″ are some 0.6 km on the
    // ground, which the shadow passes in a second or less at either end.
    for (const [small, large] of [
      [canon, byDefault],
      [byDefault, larger],
    ]) {
      expect(sign * (large.limb.c2ShiftS - small.limb.c2ShiftS)).toBeGreaterThan(0.3);
      expect(sign * (small.limb.c3ShiftS - large.limb.c3ShiftS)).toBeGreaterThan(0.3);
      expect(sign * (large.limb.c2ShiftS - small.limb.c2ShiftS)).toBeLessThan(3);
    }
  });

  it("changes nothing without the limb", async () => {
    const plain = await ask(`${LUXOR}&limb=off`);
    expect(await ask(`${LUXOR}&limb=off&solarRadius=959.95`)).toEqual(plain);
    expect(plain.contacts).toEqual((await ask(LUXOR)).contacts);
    expect(plain.limb).toBeUndefined();
  });

  it("is the Sun of eclipses on the chart of the limb, too", async () => {
    const { limb } = (await hub.call("GET", "/api/limb?eclipse=2027-08-02&lat=25.69&lon=32.64&height=80"))
      .body;
    expect({ c2ShiftS: limb.c2ShiftS, c3ShiftS: limb.c3ShiftS }).toEqual((await ask(LUXOR)).limb);
  });

  it("is described where the interface describes itself", async () => {
    const { get } = (await hub.call("GET", "/api/openapi.json")).body.paths["/api/circumstances"];
    expect(get.summary).toContain("959.95″");
    const parameter = get.parameters.find(({ name }: { name: string }) => name === "solarRadius");
    expect(parameter.schema.description).toContain("959.63");
    const answer = get.responses[200].content["application/json"].schema;
    expect(answer.properties.lengthBoundS).toMatchObject({ type: "number", minimum: 0 });
    expect(answer.required).toContain("lengthBoundS");
  });
});

describe("what the place leaves open of the length", () => {
  it("is in every answer, with limb and without, and grows with the place's bound", async () => {
    const edge = "eclipse=2027-08-02&lat=24.44&lon=32.64";
    const [known, wide, smooth] = await Promise.all(
      ["&placeBound=50", "&placeBound=15000", "&placeBound=15000&limb=off"].map((more) => ask(edge + more)),
    );
    expect(known.lengthBoundS).toBeGreaterThan(0);
    expect(known.lengthBoundS).toBeLessThan(2);
    // 15 km reach beyond the edge of the path: nothing may be left.
    expect(wide.lengthBoundS).toBe(wide.durationS);
    expect(smooth.lengthBoundS).toBe(wide.lengthBoundS);
    expect(await ask("eclipse=2027-08-02&lat=48&lon=11")).toMatchObject({ kind: "partial", lengthBoundS: 0 });
    expect(await ask("eclipse=2027-08-02&lat=-60&lon=-120")).toMatchObject({ kind: "none", lengthBoundS: 0 });
  });
});
