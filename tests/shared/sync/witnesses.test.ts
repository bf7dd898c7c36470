import { expect, test } from "vitest";
import { judgeWitnesses, type Witness } from "../../../shared/sync/witnesses.ts";
import { random } from "../../sim/clock-world.ts";

// Phones usually within 0.2 s: common practice, no source (issue 4).
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
