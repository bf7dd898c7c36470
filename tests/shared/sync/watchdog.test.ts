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
  dog.noteOpening(monoMs(0));
  dog.noteOpen(monoMs(100));
  dog.noteHeard(monoMs(150));
  const lasts = [1, 2, 3, 4, 5, 6].map((k) => {
    dog.noteOpening(monoMs(k * 10_000));
    return dog.attemptMs();
  });
  expect(lasts).toEqual([900, 900, 1900, 900, 900, 1900]);
});

test("a hub that took four seconds to let us in is given six the next time", () => {
  const dog = new LinkWatchdog();
  dog.noteOpening(monoMs(0));
  expect(dog.attemptMs()).toBe(5000);
  dog.noteOpen(monoMs(4000));
  dog.noteHeard(monoMs(4100));
  dog.noteOpening(monoMs(60_000));
  expect(dog.attemptMs()).toBe(6000);
});

// A hub that lets in 100 a second, in order, and wastes as much on those that have gone meanwhile
test("five hundred boards and sixty rigs all get back into a hub that lets in a hundred a second", () => {
  const dogs = Array.from({ length: 560 }, (_, i) => {
    const dog = new LinkWatchdog(i < 60 ? 1 : 3);
    dog.noteOpening(monoMs(0));
    dog.noteOpen(monoMs(50));
    dog.noteHeard(monoMs(60));
    dog.noteClosed(monoMs(1000 + i));
    return { dog, attempt: 0, inside: false };
  });
  const queue: { who: (typeof dogs)[0]; attempt: number }[] = [];
  let t = 2000;
  for (; t < 60_000 && dogs.some((d) => !d.inside); t += 10) {
    for (const who of dogs)
      if (!who.inside && who.dog.decide(monoMs(t)) === "reopen") {
        who.dog.noteOpening(monoMs(t));
        queue.push({ who, attempt: ++who.attempt });
      }
    const next = queue.shift();
    if (next && next.attempt === next.who.attempt) {
      next.who.inside = true;
      next.who.dog.noteOpen(monoMs(t));
    }
  }
  expect(dogs.filter((d) => !d.inside).length).toBe(0);
  expect(t).toBeLessThan(20_000);
});

test("a hub that refuses is asked again three times a second, not at every look", () => {
  const dog = new LinkWatchdog();
  let attempts = 0;
  for (let t = 0; t < 3000; t += 50)
    if (dog.decide(monoMs(t)) === "reopen") {
      attempts++;
      dog.noteOpening(monoMs(t));
      dog.noteClosed(monoMs(t + 2));
    }
  expect(attempts).toBe(10);
});

test("a closed link is opened at once", () => {
  const dog = open();
  dog.noteClosed(monoMs(5000));
  expect(dog.decide(monoMs(5000))).toBe("reopen");
  expect(dog.silentMs(monoMs(6000))).toBe(5900);
});
