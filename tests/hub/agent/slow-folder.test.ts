/** A folder on a disk that hangs, or says what no disk says: one sentence, one look at a time, no more. */
import { expect, test, vi } from "vitest";
import type { SourcePorts } from "../../../hub/agent/source.ts";
import { FolderSource, type Look } from "../../../hub/agent/sources/folder.ts";
import { kindOf } from "../../../hub/agent/sources/frame-names.ts";
import { until } from "../../support/until.ts";

test("a look that hangs is told once and never doubled; the next one goes on", async () => {
  vi.useFakeTimers({ toFake: ["setInterval", "clearInterval"] });
  try {
    const lines: string[] = [];
    const said: object[] = [];
    let mono = 0;
    const waiting: ((look: Look) => void)[] = [];
    const ports: SourcePorts = {
      mono: () => mono,
      utcMs: () => mono,
      utcBoundMs: () => 0,
      say: (_, saying) => void said.push(saying),
      forget: () => undefined,
      tell: (line) => lines.push(line),
    };
    const source = new FolderSource("/card", {
      ...ports,
      memory: { frames: "many", bytes: null },
      remember: () => undefined,
      look: () => new Promise((resolve) => waiting.push(resolve)),
    });
    source.start();
    for (let s = 0; s < 30; s++) {
      mono += 1000;
      await vi.advanceTimersByTimeAsync(1000);
    }
    expect(waiting).toHaveLength(1);
    expect(lines).toEqual(["/card: does not answer; waiting for it"]);
    expect(said).toEqual([]);
    waiting[0]?.({ dev: 1, names: [], more: false, freeBytes: 5e9 });
    await until("it looks again", () => {
      vi.advanceTimersByTime(1000);
      return waiting.length === 2;
    });
    await source.stop();
  } finally {
    vi.useRealTimers();
  }
});

test("frames are told from videos, sidecars and what is half written by their names", () => {
  for (const name of ["IMG_1.JPG", "a.cr3", "b.NEF", "c.dng", "d.fits", "e.tif"])
    expect([name, kindOf(name)]).toEqual([name, "image"]);
  for (const name of ["C0001.MP4", "sun.ser", "x.mov"]) expect([name, kindOf(name)]).toEqual([name, "video"]);
  for (const name of [".hidden.jpg", "~x.jpg", "IMG_1.xmp", "IMG_1.jpg.part", "notes", "log.txt"])
    expect([name, kindOf(name)]).toEqual([name, "other"]);
});

test("another card with frames of before, put in while an agent counts on, adds nothing", async () => {
  const before = Array.from({ length: 500 }, (_, n) => `/card/OLD_${n}.JPG`);
  const said: { frames?: number; card?: string } = {};
  let now: Look | null = { dev: 1, names: ["/card/A.JPG"], more: false, freeBytes: 5e9 };
  let mono = 0;
  const source = new FolderSource("/card", {
    mono: () => {
      mono += 1000;
      return mono;
    },
    utcMs: () => mono,
    utcBoundMs: () => 0,
    say: (_, saying) => void Object.assign(said, saying),
    forget: () => undefined,
    tell: () => undefined,
    // An agent before this one had seen no frame yet: A came meanwhile.
    memory: { frames: 0, bytes: 0, there: 0, lastFrameUtcMs: null },
    remember: () => undefined,
    look: () =>
      now ? Promise.resolve(now) : Promise.reject(Object.assign(new Error("out"), { code: "ENOENT" })),
    sizeOf: async () => 1000,
    lookMs: 1,
  });
  source.start();
  await until("it counts on", () => said.frames === 1);
  now = null;
  await until("it is out", () => said.card === "gone");
  now = { dev: 1, names: before, more: false, freeBytes: 5e9 };
  await until("another is in", () => said.card === "in");
  now = { ...now, names: [...before, "/card/NEW.JPG"] };
  await until("what comes now is counted", () => (said.frames ?? 0) > 1);
  expect(said.frames).toBe(2);
  await source.stop();
});
