/** Several devices of one kind beside a rig: where they differ, the more dangerous reading (S9). */
import { expect, test } from "vitest";
import { Voices } from "../../../hub/agent/voices.ts";

test("of two mounts, covers, wheels and cameras the more dangerous word is said, whoever speaks last", () => {
  const voices = new Voices();
  expect(voices.hear("mount", { mount: "tracking", tracking: true }, "A @h:1")).toEqual({
    mount: "tracking",
    tracking: true,
  });
  const stopped = { mount: "stopped", tracking: false } as const;
  expect(voices.hear("mount", stopped, "B @h:1")).toEqual(stopped);
  expect(voices.hear("mount", { mount: "tracking", tracking: true }, "A @h:1")).toEqual(stopped);
  voices.hear("cover", { cover: "closed" }, "A");
  expect(voices.hear("cover", { cover: "open" }, "B")).toEqual({ cover: "open" });
  voices.hear("imager", { exposing: true }, "A");
  expect(voices.hear("imager", { exposing: false }, "B")).toEqual({ exposing: true });
  voices.hear("wheel", { wheelSlot: "Open", filter: "off" }, "A @h:1");
  expect(voices.hear("wheel", { wheelSlot: "Red", filter: "unknown" }, "B @h:1")).toEqual({
    wheelSlot: "A: Open, B: Red",
    filter: "off",
  });
});

test("figures come from one device, the first by name; what only the other has is said, too", () => {
  const voices = new Voices();
  voices.hear("weather", { airC: 20, windMPerS: 3 }, "B");
  expect(voices.hear("weather", { airC: 25 }, "A")).toEqual({ airC: 25, windMPerS: 3 });
  expect(voices.hear("weather", { airC: 21 }, "B")).toEqual({ airC: 25, windMPerS: 3 });
});

test("a device that has gone says nothing against the others; the last one's word stands", () => {
  const voices = new Voices();
  voices.hear("mount", { mount: "tracking", tracking: true }, "A");
  voices.hear("mount", { mount: "stopped", tracking: false }, "B");
  expect(voices.forget("B")).toEqual([
    { instrument: "mount", saying: { mount: "tracking", tracking: true } },
  ]);
  expect(voices.forget("A")).toEqual([]);
});

test("names of many wheels fit into what a slot may say", () => {
  const voices = new Voices();
  for (let n = 0; n < 300; n++) {
    const { wheelSlot = "" } = voices.hear("wheel", { wheelSlot: "x".repeat(60) }, `${n}${"w".repeat(50)}`);
    expect(wheelSlot.length).toBeLessThanOrEqual(60);
  }
});
