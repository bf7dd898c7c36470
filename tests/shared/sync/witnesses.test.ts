import { describe, expect, test } from "vitest";
import { judgeWitnesses, standingOf, type Witness } from "../../../shared/sync/witnesses.ts";
import { random } from "../../sim/clock-world.ts";

// Phones usually within 0.2 s: common practice, no source.
const witnesses = (offsets: number[], boundMs = 5): Witness[] =>
  offsets.map((offsetMs, i) => ({ deviceId: `d${i}`, offsetMs, boundMs }));

test("nobody, or two, are too few", () => {
  expect(judgeWitnesses([]).verdict).toBe("too few");
  expect(judgeWitnesses(witnesses([10, 20])).verdict).toBe("too few");
});

test("phones within a fifth of a second of the hub agree with it", () => {
  const v = judgeWitnesses(witnesses([-120, 30, 80, -40, 150]));
  expect(v.verdict).toBe("agreed");
  expect(v.byMs).toBe(30);
  expect(v.count).toBe(5);
});

test("a hub two seconds off is disputed, by two seconds", () => {
  const v = judgeWitnesses(witnesses([2050, 1980, 2100, 1900, 2010]));
  expect(v.verdict).toBe("disputed");
  expect(v.byMs).toBe(2010);
});

test("just under half of liars change nothing", () => {
  const u = random(3);
  for (let round = 0; round < 200; round++) {
    const honest = Array.from({ length: 11 }, () => (u() - 0.5) * 200);
    const liars = Array.from({ length: 9 }, () => 5000 + u() * 1e6);
    const v = judgeWitnesses(witnesses([...honest, ...liars]));
    expect(Math.abs(v.byMs)).toBeLessThan(110);
    expect(v.verdict).not.toBe("disputed");
  }
});

test("witnesses that contradict each other are no verdict", () => {
  expect(judgeWitnesses(witnesses([-9000, -4000, 0, 5000, 11_000])).verdict).toBe("too few");
});

test("a witness whose own link is poor, or whose figure is no number, is not heard", () => {
  const v = judgeWitnesses([
    ...witnesses([9000, 9000, 9000], 800),
    ...witnesses([Number.NaN]),
    ...witnesses([1, 2, 3]),
  ]);
  expect(v).toMatchObject({ verdict: "agreed", count: 3, byMs: 2 });
});

test("the bound on the verdict covers the hub's true error in nearly every draw", () => {
  const u = random(8);
  const normal = () => Math.sqrt(-2 * Math.log(u())) * Math.cos(2 * Math.PI * u());
  let missed = 0;
  for (let round = 0; round < 500; round++) {
    const hubError = (u() - 0.5) * 1000;
    const v = judgeWitnesses(witnesses(Array.from({ length: 6 }, () => -hubError + 80 * normal())));
    if (Math.abs(v.byMs + hubError) > v.boundMs) missed++;
  }
  expect(missed).toBe(0);
});

describe("one witness against the hub", () => {
  const stands = (offsets: number[], boundMs = 5, aside: number[] = []) =>
    standingOf(witnesses(offsets, boundMs), new Set(aside.map((n) => `d${n}`)));
  const words = (offsets: number[], boundMs?: number, aside?: number[]) =>
    stands(offsets, boundMs, aside).devices.map(({ standing }) => standing);

  test("agrees within a second, its own link's bound taken off (S5)", () => {
    expect(stands([900, -1004])).toMatchObject({ apartMs: 0 });
    expect(words([900, -1004])).toEqual(["agrees", "agrees"]);
    expect(words([1006])).toEqual(["disagrees"]);
    expect(words([3000], 2100)).toEqual(["agrees"]);
    expect(words([3000], 1900)).toEqual(["disagrees"]);
  });

  test.each([1, 2, 3, 4, 40])(
    "%i that say 90 s are a doubt of 90 s, and of what their links leave open",
    (n) => {
      for (const by of [90_000, -90_000]) {
        const { apartMs, devices } = stands(Array.from({ length: n }, () => by));
        expect(apartMs).toBe(90_005);
        expect(devices.every(({ standing }) => standing === "disagrees")).toBe(true);
      }
    },
  );

  test("is outvoted by three others that agree among themselves and with the hub, not by two", () => {
    expect(words([90_000, 100, -50])).toEqual(["disagrees", "agrees", "agrees"]);
    expect(stands([90_000, 100, -50, 20])).toMatchObject({ apartMs: 0 });
    expect(words([90_000, 100, -50, 20])).toEqual(["outvoted", "agrees", "agrees", "agrees"]);
    // Within a second of the hub, but not of one mind.
    expect(stands([90_000, 950, -950, 0])).toMatchObject({ apartMs: 90_005 });
  });

  test("is not outvoted by three when as many are of its mind, and others far off are none of them", () => {
    expect(stands([90_000, 90_200, 89_900, 0, 1, 2]).apartMs).toBe(90_205);
    expect(stands([90_000, 90_200, 0, 1, 2]).apartMs).toBe(0);
    expect(words([90_000, -4000, 7000, 0, 1, 2])).toEqual([
      ...["outvoted", "outvoted", "outvoted"],
      ...["agrees", "agrees", "agrees"],
    ]);
  });

  test("set aside, it stands neither against the hub nor for it", () => {
    expect(stands([90_000], 5, [0])).toMatchObject({ apartMs: 0 });
    expect(words([90_000], 5, [0])).toEqual(["set aside"]);
    // Without d1 only two are left to outvote the one that is far off.
    expect(stands([90_000, 10, 20, 30], 5, [1]).apartMs).toBe(90_005);
    expect(stands([10, 20, 30], 5, [1]).verdict).toMatchObject({ verdict: "too few", count: 2 });
  });

  test("whose link is poor outvotes nobody; a figure that is no number says nothing", () => {
    const poor = witnesses([1, 2, 3], 800).map((w, n) => ({ ...w, deviceId: `p${n}` }));
    expect(standingOf([...witnesses([90_000]), ...poor]).apartMs).toBe(90_005);
    expect(standingOf(witnesses([Number.NaN, 10])).devices).toHaveLength(1);
    expect(stands([1000], -9000)).toMatchObject({ apartMs: 0 });
  });
});
