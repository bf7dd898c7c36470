/** A save that takes a while brings nobody back from where they have gone meanwhile. */
import { afterEach, beforeEach, expect, test } from "vitest";
import { goOn } from "../../../../console/lead/shell/route.ts";

const location = { hash: "" };
const before = Object.getOwnPropertyDescriptor(globalThis, "window");
beforeEach(() => Object.defineProperty(globalThis, "window", { value: { location }, configurable: true }));
afterEach(() => {
  if (before) Object.defineProperty(globalThis, "window", before);
  else Reflect.deleteProperty(globalThis, "window");
});

test.each([
  ["#rigs/west", "rigs/west"],
  ["#array", "#array"],
  ["#rigs/eye", "#rigs/eye"],
  ["", "rigs/west"],
])("from %s a saved rig leads to %s", (hash, then) => {
  location.hash = hash;
  goOn({ screen: "rigs", item: "west" }, "rigs", "west");
  expect(location.hash).toBe(then);
});

test("whatever is open on a screen, one leads on from it", () => {
  location.hash = "#site/candidates";
  goOn({ screen: "site" }, "rigs");
  expect(location.hash).toBe("rigs");
});
