import { describe, expect, test } from "vitest";
import type { ChosenFile } from "../../../../../console/lead/after/images/chosen-files.ts";
import { sortOut } from "../../../../../console/lead/after/images/chosen-files.ts";
import {
  Reading,
  type ReadingPorts,
  type ReadingView,
} from "../../../../../console/lead/after/images/reading.ts";
import type { Frame } from "../../../../../shared/fields/image-frame.ts";
import { NOTHING } from "../../../../shared/images/place/frames.ts";

const files = (count: number): ChosenFile[] =>
  Array.from({ length: count }, (_, i) => ({ path: `${i}.jpg`, file: new File([], `${i}.jpg`) }));

function reader(count: number, ports: Partial<ReadingPorts> = {}) {
  const told: Frame[] = [];
  const views: ReadingView[] = [];
  const reading = new Reading(files(count), {
    read: async ({ files: some }) =>
      some.map(({ path }) =>
        path === "7.jpg"
          ? { path, problem: "damaged" }
          : { path, frame: { ...NOTHING, file: path }, thumbnail: null },
      ),
    note: async (frames) => {
      told.push(...frames);
      return true;
    },
    opened: () => {},
    changed: (view) => views.push(view),
    ...ports,
  });
  return { reading, told, views };
}

describe("reading a folder", () => {
  test("of five thousand files tells the hub of each once, in orders that it takes", async () => {
    const orders: number[] = [];
    const { reading } = reader(5000, {
      note: async (frames) => {
        orders.push(frames.length);
        return true;
      },
    });
    await reading.goOn();
    expect(reading.view()).toMatchObject({ done: 5000, all: 5000, state: "done" });
    expect(orders.reduce((sum, n) => sum + n, 0)).toBe(4999);
    expect(Math.max(...orders)).toBeLessThanOrEqual(500);
    expect(reading.view().unread).toEqual([{ path: "7.jpg", problem: "damaged" }]);
  });

  test("stops when it is told to and goes on where it was", async () => {
    let stops = 1;
    const { reading, told } = reader(1000, {
      changed: (view) => {
        if (view.done === 200 && view.state === "reading" && stops-- > 0) reading.stop();
      },
    });
    await reading.goOn();
    expect(reading.view()).toMatchObject({ done: 200, state: "stopped" });
    expect(told).toHaveLength(199);
    await reading.goOn();
    expect(reading.view().state).toBe("done");
    expect(new Set(told.map(({ file }) => file)).size).toBe(999);
    expect(told).toHaveLength(999);
  });

  test("keeps what the hub did not take, and tells it when it goes on", async () => {
    let away = true;
    const taken: Frame[] = [];
    const { reading } = reader(100, {
      note: async (frames) => {
        if (!away) taken.push(...frames);
        return !away;
      },
    });
    await reading.goOn();
    expect(reading.view().state).toBe("stopped");
    away = false;
    await reading.goOn();
    expect(reading.view().state).toBe("done");
    expect(taken).toHaveLength(99);
  });
});

test("of what was chosen images, videos and sidecars are told apart, the rest is left", () => {
  const named = (path: string) => {
    const file = new File([], path.split("/").at(-1) ?? path);
    Object.defineProperty(file, "webkitRelativePath", { value: path });
    return file;
  };
  const chosen = sortOut(
    ["card/b.NEF", "card/deep/a.jpg", "card/a.xmp", "card/notes.txt", "card/._a.jpg"].map(named),
  );
  expect(chosen.media.map(({ path }) => path)).toEqual(["card/b.NEF", "card/deep/a.jpg"]);
  expect(chosen.sidecars.map(({ path }) => path)).toEqual(["card/a.xmp"]);
});
