/** Keys chosen outside, looked up in plain objects. */
import { describe, expect, it } from "vitest";
import { isPlainKey, ownValue } from "../../../shared/fields/own-key.ts";

// ECMA-262, 20.1.3 and B.2.2: what Object.prototype has.
const INHERITED = [
  "constructor",
  "hasOwnProperty",
  "isPrototypeOf",
  "propertyIsEnumerable",
  "toLocaleString",
  "toString",
  "valueOf",
  "__proto__",
  "__defineGetter__",
  "__defineSetter__",
  "__lookupGetter__",
  "__lookupSetter__",
];

describe("a key chosen outside", () => {
  it.each(INHERITED)("%s finds nothing that was not put there, and is no id", (key) => {
    expect(ownValue({ west: 1 }, key)).toBeUndefined();
    expect(ownValue(Object.fromEntries([[key, 5]]), key)).toBe(5);
    expect(isPlainKey(key)).toBe(false);
  });

  it("finds what was put there under any other name", () => {
    expect(ownValue({ west: 0 }, "west")).toBe(0);
    expect(ownValue({ west: 0 }, "east")).toBeUndefined();
    for (const key of ["west", "real-2027-08-02", "Constructor", "proto"]) expect(isPlainKey(key)).toBe(true);
  });
});
