import { afterAll, beforeAll, describe, expect, it } from "vitest";
import "../../../../../console/words/bundles/lead.ts";
import { deviceNames } from "../../../../../console/lead/set-up/clock/device-name.ts";
import { loadWords } from "../../../../../console/words/words.ts";
import type { SiteState } from "../../../../../shared/run/state.ts";

type Known = Pick<SiteState, "devices" | "plan">;

const rigs = [
  { id: "west", name: "West telescope" },
  { id: "south", name: "South telescope" },
];
const state = {
  plan: { rigs },
  devices: {
    a7Kq2xPz: { rigIds: ["west"], label: "phone" },
    b1Zp9wRt: { rigIds: ["west", "south"], label: "" },
    c3Mv8yLs: { rigIds: ["gone"], label: "tablet" },
    d4Nx7uKr: { rigIds: ["west"], label: "phone" },
  },
} as unknown as Known;

beforeAll(() => loadWords("en"));
afterAll(() => loadWords("en"));

describe("a device's name on the clock's screen", () => {
  const ids = ["iDHbfzQ1", "a7Kq2xPz", "b1Zp9wRt", "c3Mv8yLs", "d4Nx7uKr", "hGGbfzQ1"];
  const names = deviceNames(state, [
    ...ids.map((deviceId) => ({ deviceId })),
    { deviceId: "e5", label: "laptop" },
    { deviceId: "e5", label: "" },
  ]);

  it("is that of its rigs, else of its kind, else a number", () => {
    expect(names("b1Zp9wRt")).toBe("West telescope, South telescope");
    expect(names("c3Mv8yLs")).toBe("tablet");
    expect(names("e5")).toBe("laptop");
    expect([names("hGGbfzQ1"), names("iDHbfzQ1")]).toEqual(["device 1", "device 2"]);
  });

  it("is no two devices' alike", () => {
    expect([names("a7Kq2xPz"), names("d4Nx7uKr")]).toEqual(["West telescope (1)", "West telescope (2)"]);
  });

  it("holds no id, and does not hang on the order in which devices are listed", () => {
    const other = deviceNames(
      state,
      [...ids].reverse().map((deviceId) => ({ deviceId })),
    );
    for (const id of ids) {
      expect(names(id)).not.toContain(id.slice(0, 6));
      expect(other(id)).toBe(names(id));
    }
  });

  it("is there without any state", () => {
    expect(deviceNames(null, [{ deviceId: "constructor" }])("constructor")).toBe("device 1");
  });
});
