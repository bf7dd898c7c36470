import { expect, test } from "vitest";
import { LinkWatchdog } from "../../../shared/sync/watchdog.ts";
import { monoMs } from "../../../shared/time/instants.ts";

const open = () => {
  const dog = new LinkWatchdog();
  dog.noteOpening(monoMs(0));
  dog.noteOpen(monoMs(100));
  return dog;
};

test("an answered link is left alone", () => {
  const dog = open();
  for (let t = 200; t < 20_000; t += 4000) {
    dog.noteSent(monoMs(t));
    expect(dog.decide(monoMs(t + 20))).toBe("wait");
    dog.noteHeard(monoMs(t + 30));
    expect(dog.decide(monoMs(t + 3900))).toBe("wait");
  }
});

test("a silent link is asked again soon, and given up after three bursts without an answer", () => {
  const dog = open();
  dog.noteSent(monoMs(1000));
  expect(dog.decide(monoMs(1300))).toBe("wait");
  expect(dog.decide(monoMs(1400))).toBe("probe");
  dog.noteSent(monoMs(1400));
  dog.noteSent(monoMs(1800));
  expect(dog.decide(monoMs(2100))).toBe("wait");
  expect(dog.decide(monoMs(2200))).toBe("reopen");
});

test("a path that usually takes 400 ms is given three times that before it is asked again", () => {
  const dog = open();
  for (let t = 1000; t < 61_000; t += 1000) {
    dog.noteSent(monoMs(t));
    dog.noteHeard(monoMs(t + 400));
  }
  dog.noteSent(monoMs(70_000));
  expect(dog.decide(monoMs(71_100))).toBe("wait");
  expect(dog.decide(monoMs(71_250))).toBe("probe");
});

test("a silent link that is polled every quarter of a second is given up as well", () => {
  const dog = open();
  let given = 0;
  for (let t = 1000; !given && t < 5000; t += 250) {
    if (dog.decide(monoMs(t)) === "reopen") given = t;
    else dog.noteSent(monoMs(t));
  }
  expect(given).toBeGreaterThanOrEqual(2200);
  expect(given).toBeLessThan(2700);
});

test("an answer to the second burst saves the link", () => {
  const dog = open();
  dog.noteSent(monoMs(1000));
  dog.noteSent(monoMs(1400));
  dog.noteHeard(monoMs(1500));
  expect(dog.decide(monoMs(2500))).toBe("wait");
});

// DESIGN "first exchange after the link returns ≤ 1.5 s": whenever the link returns, an attempt that
// began before it fails or is replaced, and the next begins soon enough. Journeys of 60 ms there and back.
test("whenever the link returns, a fresh attempt gets an exchange through within 1.5 s", () => {
  const ROUND = 60;
  let worst = 0;
  for (let back = 30_000; back < 36_000; back += 50) {
    const dog = open();
    dog.noteSent(monoMs(1000));
    let attempt: number | null = null;
    let done = 0;
    for (let t = 1000; !done && t < 60_000; t += 50) {
      // connect, upgrade, join, probe; the first packet repeats after 1 s, the second after 2 s more
      if (attempt !== null) {
        const tries = [0, 1000, 3000].map((d) => (attempt as number) + d).filter((at) => at >= back);
        const first = tries[0];
        if (first !== undefined && t >= first + 4 * ROUND) done = t;
      }
      const act = dog.decide(monoMs(t));
      if (act === "probe") dog.noteSent(monoMs(t));
      if (act === "reopen" && !done) {
        attempt = t;
        dog.noteOpening(monoMs(t));
      }
    }
    worst = Math.max(worst, done - back);
  }
  expect(worst).toBeGreaterThan(0);
  expect(worst).toBeLessThanOrEqual(1500);
});

test("every third attempt lasts longer, for slow paths", () => {
  const dog = new LinkWatchdog();
  const lasts = [1, 2, 3, 4, 5, 6].map((k) => {
    dog.noteOpening(monoMs(k * 10_000));
    return dog.attemptMs();
  });
  expect(lasts).toEqual([900, 900, 1900, 900, 900, 1900]);
});

test("a closed link is opened at once", () => {
  const dog = open();
  dog.noteClosed(monoMs(5000));
  expect(dog.decide(monoMs(5000))).toBe("reopen");
  expect(dog.silentMs(monoMs(6000))).toBe(5900);
});
