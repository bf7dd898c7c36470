/** Named worlds for the clock: what a field does to crystals, links and programs. */
import { Steering } from "../../hub/clock/steering.ts";
import { monoMs, utcMs } from "../../shared/time/instants.ts";
import { type Delay, EPOCH, fixed, LINKS, lomax, pareto, random, type World } from "./clock-world.ts";

export interface Scenario {
  name: string;
  world: (seed: number) => Omit<World, "seed">;
}

const MIN = 60_000;
/** A rate within ±range ppm that belongs to the seed. */
const rate = (seed: number, range = 50) => (random(seed + 4000)() * 2 - 1) * range;
const steady = (seed: number, range = 50) => {
  const ppm = rate(seed, range);
  return () => ppm;
};

/** A hub that works off `errorMs` from true time `fromMs` on, with its announced course. */
function steeredHub(errorMs: number, fromMs: number, setNowMs?: number) {
  const steering = new Steering("sim", monoMs(0), utcMs(EPOCH));
  const marks: { at: number; shift: number; course: ReturnType<Steering["course"]> }[] = [];
  for (let t = 0; t <= 1_200_000; t += 250) {
    const shift = steering.utc(monoMs(t)) - EPOCH - t;
    if (setNowMs === t) steering.step(monoMs(t), errorMs - shift);
    steering.advance(monoMs(t), t >= fromMs ? errorMs - shift : 0);
    marks.push({
      at: t,
      shift: steering.utc(monoMs(t)) - EPOCH - t,
      course: steering.course(monoMs(t)),
    });
  }
  const at = (t: number) => marks[Math.min(marks.length - 1, Math.floor(t / 250))] as (typeof marks)[0];
  const shift = (t: number) => at(t).shift + at(t).course.slewPpm * 1e-6 * (t - at(t).at);
  return {
    hubErrorMs: shift,
    course: (t: number) => ({ ...at(t).course, shiftMs: shift(t) }),
  };
}

/** Pushes wait for the phone's next beacon, up to 250 ms, unless the radio was used just before. */
function powerSave(): Delay {
  let awakeUntil = 0;
  return (u, at) => {
    const wait = at < awakeUntil ? 0 : 250 * u();
    awakeUntil = at + wait + 40;
    return 2 + wait + 3 * u();
  };
}

export const SCENARIOS: Scenario[] = [
  ...Object.entries(LINKS).map(([name, link]) => ({
    name: `${name} link`,
    world: (seed: number) => ({ durationS: 300, link, devicePpm: steady(seed) }),
  })),
  {
    name: "a crystal 500 ppm fast on a good link",
    world: () => ({ durationS: 240, link: LINKS.good, devicePpm: () => 500 }),
  },
  {
    name: "a crystal 500 ppm slow on an awful link",
    world: () => ({ durationS: 240, link: LINKS.awful, devicePpm: () => -500 }),
  },
  {
    name: "a phone warming up in the sun by 3 ppm, then without the hub",
    world: (seed) => {
      const ppm = rate(seed);
      return {
        durationS: 1200,
        link: { ...LINKS.good, outages: [[5 * MIN, 20 * MIN]] },
        devicePpm: (t) => ppm + 3 * (1 - Math.exp(-t / (8 * MIN))),
      };
    },
  },
  {
    name: "a phone warming up in the sun by 3 ppm, then without the hub, on a clean link",
    world: (seed) => {
      const ppm = rate(seed);
      return {
        durationS: 1200,
        link: { ...LINKS.clean, outages: [[5 * MIN, 20 * MIN]] },
        devicePpm: (t) => ppm + 3 * (1 - Math.exp(-t / (8 * MIN))),
      };
    },
  },
  {
    name: "a phone that begins to cool by 3 ppm when the link goes, on a clean link",
    world: (seed) => {
      const ppm = rate(seed);
      return {
        durationS: 1200,
        link: { ...LINKS.clean, outages: [[5 * MIN, 20 * MIN]] },
        devicePpm: (t) => ppm - 3 * (1 - Math.exp(-Math.max(0, t - 5 * MIN) / (8 * MIN))),
      };
    },
  },
  {
    name: "a phone whose rate swings by 1.5 ppm, linked for half an hour on a clean link",
    world: (seed) => {
      const ppm = rate(seed);
      return {
        durationS: 1800,
        link: LINKS.clean,
        devicePpm: (t) => ppm + 1.5 * Math.sin(t / (5 * MIN)),
      };
    },
  },
  {
    name: "two hours without the hub, then back",
    world: (seed) => {
      const ppm = rate(seed);
      return {
        durationS: 7700,
        link: { ...LINKS.busy, outages: [[5 * MIN, 125 * MIN]] },
        devicePpm: (t) => ppm + 1.5 * Math.sin(t / (20 * MIN)),
      };
    },
  },
  {
    name: "up takes 40 ms longer than down",
    world: (seed) => ({
      durationS: 240,
      link: { up: lomax(41, 5, 3, 100), down: lomax(1, 5, 3, 100) },
      devicePpm: steady(seed),
    }),
  },
  {
    name: "down takes all the time, up next to none",
    world: (seed) => ({
      durationS: 240,
      link: { up: fixed(0.01), down: pareto(60, 20) },
      devicePpm: steady(seed),
    }),
  },
  {
    name: "a third of all messages lost",
    world: (seed) => ({ durationS: 240, link: { ...LINKS.busy, loss: 0.33 }, devicePpm: steady(seed) }),
  },
  {
    name: "the link gone for half a minute twice",
    world: (seed) => ({
      durationS: 330,
      link: {
        ...LINKS.good,
        outages: [
          [85_000, 115_000],
          [265_000, 295_000],
        ],
      },
      devicePpm: steady(seed),
    }),
  },
  {
    name: "the way up becomes 25 ms longer while walking",
    world: (seed) => ({
      durationS: 400,
      link: { up: (u, t) => (t > 150_000 ? 28 : 3) + 10 * u(), down: (u) => 3 + 10 * u() },
      devicePpm: steady(seed),
    }),
  },
  {
    name: "a phone that sleeps between its radio's beacons",
    world: (seed) => ({
      durationS: 240,
      link: { up: pareto(5, 3), down: powerSave() },
      devicePpm: steady(seed),
    }),
  },
  {
    name: "the device's own system slews its clock by 100 ppm for a minute",
    world: (seed) => {
      const ppm = rate(seed);
      return {
        durationS: 400,
        link: LINKS.good,
        devicePpm: (t) => ppm + (t > 200_000 && t < 260_000 ? 100 : 0),
      };
    },
  },
  {
    name: "a clock read to whole milliseconds",
    world: (seed) => ({ durationS: 200, link: LINKS.clean, devicePpm: steady(seed), resolutionMs: 1 }),
  },
  {
    name: "a clock read to tenths of a millisecond",
    world: (seed) => ({ durationS: 200, link: LINKS.good, devicePpm: steady(seed), resolutionMs: 0.1 }),
  },
  {
    name: "suspended for two minutes, and the program knows",
    world: (seed) => ({
      durationS: 400,
      link: LINKS.good,
      devicePpm: steady(seed),
      suspended: [[120_000, 240_000, true]],
    }),
  },
  {
    name: "suspended for two minutes without the program knowing",
    world: (seed) => ({
      durationS: 400,
      link: LINKS.good,
      devicePpm: steady(seed),
      suspended: [[120_000, 240_000, false]],
    }),
  },
  {
    name: "suspended for two minutes while the hub is away",
    world: (seed) => ({
      durationS: 500,
      link: { ...LINKS.good, outages: [[100_000, 400_000]] },
      devicePpm: steady(seed),
      suspended: [[120_000, 240_000, true]],
      wallErrorMs: () => 80,
    }),
  },
  {
    name: "the device's wall clock set five seconds on, then back",
    world: (seed) => ({
      durationS: 300,
      link: LINKS.good,
      devicePpm: steady(seed),
      wallErrorMs: (t) => (t > 100_000 && t < 200_000 ? 5000 : 0),
    }),
  },
  {
    name: "the page loaded anew while the hub is away",
    world: (seed) => ({
      durationS: 400,
      link: { ...LINKS.good, outages: [[100_000, 300_000]] },
      devicePpm: steady(seed),
      wallErrorMs: (t) => -300 + 20e-6 * t,
      reloads: [150_000, 200_000],
    }),
  },
  {
    name: "the hub works off 60 ms at 500 ppm, announced",
    world: (seed) => ({
      durationS: 500,
      link: LINKS.good,
      devicePpm: steady(seed),
      ...steeredHub(60, 120_000),
    }),
  },
  {
    name: "the hub works off 60 ms while a clean device is without it",
    world: (seed) => ({
      durationS: 500,
      link: { ...LINKS.clean, outages: [[150_000, 165_000]] },
      devicePpm: steady(seed),
      ...steeredHub(-60, 120_000),
    }),
  },
  {
    name: "the lead sets the hub three seconds on",
    world: (seed) => ({
      durationS: 300,
      link: LINKS.good,
      devicePpm: steady(seed),
      ...steeredHub(3000, 1e9, 150_000),
      hubTells: [150_000],
    }),
  },
  {
    name: "the lead sets the hub three seconds back",
    world: (seed) => ({
      durationS: 300,
      link: LINKS.good,
      devicePpm: steady(seed),
      ...steeredHub(-3000, 1e9, 150_000),
      hubTells: [150_000],
    }),
  },
];
