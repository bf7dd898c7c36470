import { expect, test } from "vitest";
import { type Claim, chooseSource } from "../../../hub/clock/choose.ts";

// The intersection of intervals: RFC 5905 section 11.2.1 (there over many servers).
const claim = (id: string, kind: Claim["kind"], offsetMs: number, boundMs: number): Claim => ({
  id,
  kind,
  offsetMs,
  boundMs,
});

test("of sources that agree the narrowest is followed", () => {
  const c = chooseSource(
    [claim("system", "system", 0, 500), claim("gps", "gps", 90, 2), claim("a", "ntp", 80, 15)],
    null,
  );
  expect(c).toMatchObject({ chosen: { id: "gps" }, disagreeing: [], disputed: false });
});

test("a GPS receiver that is off by 1024 weeks is outvoted by network and system", () => {
  const weeks = -1024 * 7 * 86_400_000;
  const c = chooseSource(
    [claim("system", "system", 0, 500), claim("gps", "gps", weeks, 2), claim("a", "ntp", 40, 15)],
    "gps",
  );
  expect(c).toMatchObject({ chosen: { id: "a" }, disagreeing: ["gps"], disputed: false });
});

test("one lying server among three is left out", () => {
  const c = chooseSource(
    [claim("a", "ntp", 10, 20), claim("b", "ntp", 5000, 1), claim("c", "ntp", -5, 25)],
    null,
  );
  expect(c.chosen?.id).toBe("a");
  expect(c.disagreeing).toEqual(["b"]);
});

test("two sources that contradict each other are disputed, and GPS goes before the system", () => {
  const c = chooseSource([claim("system", "system", 0, 10), claim("gps", "gps", 4000, 500)], "system");
  expect(c).toMatchObject({ chosen: { id: "gps" }, disagreeing: ["system"], disputed: true });
});

test("the witnesses settle a contradiction but are never followed", () => {
  const c = chooseSource(
    [claim("system", "system", 0, 500), claim("gps", "gps", 4000, 500), claim("w", "witnesses", 20, 250)],
    null,
  );
  expect(c).toMatchObject({ chosen: { id: "system" }, disagreeing: ["gps"], disputed: false });
});

test("the present source is kept until another is clearly narrower", () => {
  const claims = [claim("a", "ntp", 0, 20), claim("b", "ntp", 1, 18)];
  expect(chooseSource(claims, "a").chosen?.id).toBe("a");
  expect(chooseSource(claims, null).chosen?.id).toBe("b");
  expect(chooseSource([claim("a", "ntp", 0, 20), claim("b", "ntp", 1, 10)], "a").chosen?.id).toBe("b");
});

test("without sources nothing is chosen", () => {
  expect(chooseSource([], null).chosen).toBeNull();
});
