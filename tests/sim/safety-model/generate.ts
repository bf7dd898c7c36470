/** Random worlds and what happens in them. Blind to the program: what a press does is seen later. */

import { Random } from "../../support/random.ts";
import { type PlaceName, predicted, type RigName, spotOf, TOTAL_PLACES } from "./places.ts";
import type { Act, CueEdit, HubClock, ModelWorld, PhoneStart, Step } from "./steps.ts";

export interface Sequence {
  world: ModelWorld;
  steps: Step[];
}

/** Totality, or the middle phase that stands for it, seconds. */
const lengthOf = (place: PlaceName): number => predicted(spotOf(place), 50).lengthS || 60;

export function generate(seed: number): Sequence {
  const random = new Random(seed);
  const world = someWorld(random);
  const lengthS = lengthOf(world.place);
  const steps: Step[] = [];
  const count = world.obey ? random.below(10) : 8 + random.below(26);
  for (let i = 0; i < count; i++) {
    const atS = someTime(random, lengthS);
    steps.push({ atS: Math.round(atS * 10) / 10, ...someAct(random, world) });
  }
  if (!world.obey) while (random.chance(0.45)) steps.push(...someStory(random, world, lengthS));
  const atS = (step: Step) => Math.round(step.atS * 10) / 10;
  return { world, steps: steps.map((step) => ({ ...step, atS: atS(step) })).sort((a, b) => a.atS - b.atS) };
}

/** Some things belong together, and chance alone seldom brings them so. */
function someStory(random: Random, world: ModelWorld, lengthS: number): Step[] {
  const phone = random.below(world.phones.length);
  const other = random.below(world.phones.length);
  const rig = random.of(world.phones[phone]?.rigs ?? [0]);
  const inside = random.between(-4, Math.max(0, lengthS - 15));
  const soon = () => random.between(0.5, 15);
  const then = (...acts: Act[]): Step[] => {
    let at = inside;
    return acts.map((act) => {
      const step = { atS: at, ...act };
      at += soon();
      return step;
    });
  };
  const say = (word: "on" | "off", by = phone): Act => ({
    do: "say",
    phone: by,
    rig,
    word,
    looked: random.chance(0.5),
  });
  const safe = random.of([
    { do: "call", call: "sun returns" },
    { do: "call", call: "stay filtered" },
    { do: "cover" },
  ] as const);
  const undone: Act = safe.do === "cover" ? { do: "release" } : { do: "takeBack", nth: 0 };
  return random.weighted<() => Step[]>([
    // Called, called off, and that taken back.
    [4, () => then({ do: "call", call: "totality" }, safe, undone)],
    [1, () => then({ do: "saw", phone }, safe, undone)],
    [1, () => then({ do: "call", call: "totality" }, safe, undone, { do: "call", call: "totality" })],
    // Opened, closed, and opened again; each by another hand.
    [2, () => then(say("off"), say("on"), say("off", other))],
    [2, () => then(say("on"), say("off"))],
    [1, () => then({ do: "confirm", phone }, { do: "undo", phone }, { do: "confirm", phone: other })],
    // Seen by the operator, opened with the button, closed with it.
    [3, () => then({ do: "saw", phone }, { do: "confirm", phone }, { do: "confirm", phone })],
    // Words of the lead's own.
    [
      2,
      () => [
        {
          atS: random.between(-95, inside),
          do: "edit",
          rig,
          edit: { kind: "say", cue: random.of(CUES), words: "Take the filter off." },
        },
      ],
    ],
    // A slip of the shift, and back again.
    [
      1,
      () =>
        then({ do: "call", call: "totality" }, someShift(random), {
          do: "shift",
          contact: random.of(["c2", "max", "c3"]),
          shiftS: 0,
        }),
    ],
  ])();
}

function someTime(random: Random, lengthS: number): number {
  return random.weighted<() => number>([
    [3, () => random.between(-95, lengthS + 55)],
    [3, () => random.between(-35, 40)],
    [3, () => random.between(lengthS - 50, lengthS + 40)],
    [2, () => random.between(0, lengthS)],
  ])();
}

function someWorld(random: Random): ModelWorld {
  const obeying = random.chance(0.35);
  const place = obeying
    ? random.weighted<PlaceName>([
        [1, "long"],
        [5, "middle"],
        [4, "minute"],
        [3, "short"],
        [1, "edge"],
      ])
    : random.weighted<PlaceName>([
        [1, "long"],
        [5, "middle"],
        [4, "minute"],
        [3, "short"],
        [2, "edge"],
        [1.5, "partial"],
        [1, "annular"],
      ]);
  const placeBoundM = random.weighted([
    [6, 50],
    [1, 1000],
    [1, 5000],
    [2, 15000],
  ]);
  const aside = placeBoundM > 50 && random.chance(0.7) ? placeBoundM : 0;
  const angle = random.between(0, 2 * Math.PI);
  const rigs = someRigs(random);
  const phones = somePhones(random, rigs.length);
  return {
    place,
    northM: Math.round(aside * Math.sin(angle)),
    eastM: Math.round(aside * Math.cos(angle)),
    placeBoundM,
    confirmed: random.chance(0.85),
    rigs,
    once: random.chance(0.9),
    phones,
    hub: someHub(random),
    practice: obeying || !random.chance(0.15) ? null : random.chance(0.75) ? "day" : "night",
    obey: obeying
      ? {
          fromS: -90,
          callS: Math.round(random.between(-5, 5) * 10) / 10,
          by: random.of(["lead", "operators", "both"] as const),
        }
      : null,
  };
}

function someRigs(random: Random): RigName[] {
  const all: RigName[] = [];
  const count = 1 + random.below(3);
  while (all.length < count) {
    const rig = random.weighted<RigName>([
      [4, "tele"],
      [2, "longTele"],
      [2, "tripod"],
      [1, "auto"],
      [2, "video"],
      [4, "eye"],
      [2, "bino"],
      [3, "finder"],
      [1, "wide"],
      [1, "screen"],
      [1, "queue"],
      [1, "line"],
    ]);
    if (!all.includes(rig)) all.push(rig);
  }
  return all;
}

function somePhones(random: Random, rigs: number): PhoneStart[] {
  const phones: PhoneStart[] = [];
  const add = (held: number[]) => {
    const boundMs = random.weighted([
      [6, 5],
      [2, 300],
      [1, 1500],
    ]);
    phones.push({ rigs: held, errMs: Math.round(random.between(-boundMs, boundMs)), boundMs });
  };
  const everything = Array.from({ length: rigs }, (_, i) => i);
  if (random.chance(0.4)) add(everything);
  else for (const rig of everything) add([rig]);
  // A second phone on a rig, or on all of them.
  if (phones.length < 3 && random.chance(0.4)) add(random.chance(0.5) ? everything : [random.below(rigs)]);
  return phones.slice(0, 3);
}

/**
 * Another word of the hub's on its clock. Its clock seldom jumps in the middle, and never where
 * everybody obeys: what is promised by the true sky is promised by a clock that goes on.
 */
function anotherHub(random: Random, world: ModelWorld): HubClock {
  if (!world.obey && random.chance(0.2)) return someHub(random);
  if (Math.abs(world.hub.errMs) > 20 || random.chance(0.5)) return wrong(random, world.hub.errMs / 1000);
  return { ...world.hub, boundMs: random.of([20, 900, 5000, 90_000]), apartMs: random.of([0, 0, 20_000]) };
}

function someHub(random: Random): HubClock {
  return random.weighted<() => HubClock>([
    [6, () => ({ errMs: 0, boundMs: 20, apartMs: 0, disputed: false, stepped: false })],
    [2, () => wrong(random, random.between(-90, 90))],
    [1, () => wrong(random, random.of([-90, 90]))],
    [1, () => wrong(random, random.between(-20, 20))],
  ])();
}

/** A hub that is off, and says so in one of the ways there are. */
function wrong(random: Random, errS: number): HubClock {
  const errMs = Math.round(errS * 1000);
  const size = Math.abs(errMs);
  const honest = Math.round(size * random.between(1, 1.3)) + 20;
  return random.weighted<() => HubClock>([
    // No source at all: it does not know its clock.
    [2, () => ({ errMs, boundMs: Math.max(honest, 90_000), apartMs: 0, disputed: false, stepped: false })],
    // One witness says so, or four.
    [3, () => ({ errMs, boundMs: 20, apartMs: honest, disputed: random.chance(0.5), stepped: false })],
    // Its own clock was set, and nobody has answered yet.
    [2, () => ({ errMs, boundMs: 20, apartMs: honest, disputed: true, stepped: true })],
    [1, () => ({ errMs, boundMs: honest, apartMs: 0, disputed: false, stepped: false })],
  ])();
}

const CUES = [
  "filter-off",
  "filter-on",
  "eyes-away",
  "look-up",
  "burst-before",
  "burst-after",
  "corona-brackets",
  "bead-before",
  "bead-after",
  "glasses-on",
  "filter-stays",
  "loosen-tape",
  "maximum",
  "cap-stop",
] as const;

function someAct(random: Random, world: ModelWorld): Act {
  const phone = random.below(world.phones.length);
  const rig = random.below(world.rigs.length);
  const held = random.of(world.phones[phone]?.rigs ?? [0]);
  const acts: [number, () => Act][] = [
    [1.5, () => ({ do: "link", phone, up: random.chance(0.5) })],
    [0.7, () => ({ do: "reload", phone })],
    [0.5, () => somePhoneClock(random, phone)],
    [0.6, () => ({ do: "boardLink", up: random.chance(0.5) })],
    [1, () => ({ do: "hubClock", hub: anotherHub(random, world) })],
  ];
  if (!world.obey) {
    acts.push(
      [8, () => ({ do: "confirm", phone })],
      [3, () => ({ do: "tap", phone, rig: held })],
      [3, () => ({ do: "say", phone, rig: held, word: "off", looked: random.chance(0.4) })],
      [2.5, () => ({ do: "say", phone, rig: held, word: "on", looked: random.chance(0.5) })],
      [0.5, () => ({ do: "say", phone, rig: held, word: random.of(["unknown", "capped"]), looked: true })],
      [3, () => ({ do: "saw", phone })],
      [0.7, () => ({ do: "sawReport", phone, rig: held, value: random.chance(0.7) })],
      [
        1.5,
        () => ({
          do: "mark",
          phone,
          rig: held,
          cue: random.of(CUES),
          as: random.weighted([
            [3, "cueDone"],
            [1, "cueSkipped"],
            [1, "cueReopened"],
          ]),
        }),
      ],
      [2, () => ({ do: "undo", phone })],
      [0.6, () => ({ do: "sky", phone, rig: held, sky: random.of(["clear", "overcast"]) })],
      [world.practice ? 2 : 0.1, () => ({ do: "practiceSafe", phone, rig: held, value: random.chance(0.7) })],
      [4, () => ({ do: "call", call: "totality" })],
      [1.5, () => ({ do: "call", call: "sun returns" })],
      [1.2, () => ({ do: "call", call: "stay filtered" })],
      [2.5, () => ({ do: "takeBack", nth: random.below(2) })],
      [1.2, () => ({ do: "cover" })],
      [1.8, () => ({ do: "release" })],
      [2, () => someShift(random)],
      [0.4, () => ({ do: "move", place: random.of([...TOTAL_PLACES, "partial"] as const) })],
      [0.3, () => ({ do: "nudge", northM: Math.round(random.between(-3000, 3000)) })],
      [0.6, () => ({ do: "confirmSite", confirmed: random.chance(0.6) })],
      [1.2, () => ({ do: "edit", rig, edit: someEdit(random) })],
      [0.3, () => ({ do: "revoke", rig })],
      [world.practice ? 0.4 : 0.05, () => ({ do: "practice", offsetS: Math.round(random.between(-60, 30)) })],
      [world.practice ? 1 : 0.05, () => ({ do: "endPractice" })],
    );
  }
  return random.weighted(acts)();
}

function somePhoneClock(random: Random, phone: number): Act {
  const boundMs = random.of([5, 200, 1500, 4000]);
  return { do: "phoneClock", phone, errMs: Math.round(random.between(-boundMs, boundMs)), boundMs };
}

function someShift(random: Random): Act {
  const shiftS = random.weighted<() => number>([
    [2, () => random.between(-600, 600)],
    [2, () => random.between(-60, 60)],
    [1, () => random.between(-10, 10)],
    [1, () => 0],
  ])();
  return {
    do: "shift",
    contact: random.of(["c2", "max", "c3", "c3", "c2", "c1"]),
    shiftS: Math.round(shiftS),
  };
}

function someEdit(random: Random): CueEdit {
  const cue = random.of(CUES);
  return random.weighted<() => CueEdit>([
    [1, () => ({ kind: "off", cue })],
    [1, () => ({ kind: "on", cue })],
    [2, () => ({ kind: "offset", cue, byS: Math.round(random.between(-20, 20)) })],
    [1, () => ({ kind: "say", cue, words: random.of(["Take the filter off.", "Look now!", "Well done."]) })],
  ])();
}
