/**
 * A hub killed again and again, at random instants, while phones report and a lead saves plans,
 * practises, covers and restores. Kept: a ledger of everything acknowledged. Sought in the file
 * after each start: whatever is lost, doubled or missing between.
 *
 * The check checks itself: the same is done to a hub that acknowledges before it has committed,
 * and that one must be caught.
 */
import { setTimeout as pause } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { seeded } from "../../../hub/people/seeded.ts";
import { Crew, crewPlan } from "../support/crew.ts";
import { HubProcess, type HubProcessOptions, planField } from "../support/hub-process.ts";
import { Ledger } from "../support/ledger.ts";
import type { Figure, Part, PartOptions } from "../support/part.ts";

const BROKEN = fileURLToPath(new URL("../support/hasty-hub.ts", import.meta.url));
/** Within so many kills a hub that acknowledges too early must have been caught. */
const MOST_OF_HASTY = 12;

interface Outcome {
  kills: number;
  acknowledged: number;
  lost: number;
  doubled: number;
  gaps: number;
  /** Plans or covers that are not as they were acknowledged. */
  wrong: number;
  undelivered: number;
  startsMs: number[];
  ways: Record<string, number>;
}

export const run: Part = async (options, say) => {
  const sound = await campaign({}, options, say);
  say("the check itself: a hub that acknowledges before it commits");
  const hasty = await campaign(
    { program: ["--import", "tsx", BROKEN] },
    { ...options, kills: Math.min(options.kills, MOST_OF_HASTY), seconds: Math.min(options.seconds, 180) },
    say,
    true,
  );
  const starts = [...sound.startsMs].sort((a, b) => a - b);
  const figures: Figure[] = [
    { figure: "kills", value: sound.kills, unit: "kills" },
    ...Object.entries(sound.ways).map(([way, value]) => ({ figure: `of them ${way}`, value, unit: "kills" })),
    { figure: "commands acknowledged", value: sound.acknowledged, unit: "commands", least: 1 },
    { figure: "acknowledged and lost", value: sound.lost, unit: "commands", most: 0 },
    { figure: "logged twice", value: sound.doubled, unit: "reports", most: 0 },
    { figure: "gaps in the numbering", value: sound.gaps, unit: "events", most: 0 },
    { figure: "plans or covers not as acknowledged", value: sound.wrong, unit: "cases", most: 0 },
    { figure: "sent again and not taken", value: sound.undelivered, unit: "reports", most: 0 },
    { figure: "start after a kill, median", value: round(starts[Math.floor(starts.length / 2)]), unit: "ms" },
    { figure: "start after a kill, longest", value: round(starts.at(-1)), unit: "ms" },
    {
      figure: "losses found in a hub that acknowledges before it commits",
      value: hasty.lost,
      unit: "commands",
      least: 1,
    },
    { figure: "kills until they were found", value: hasty.kills, unit: "kills" },
  ];
  return figures;
};

async function campaign(
  program: HubProcessOptions,
  { seed, kills, seconds }: PartOptions,
  say: (line: string) => void,
  untilFound = false,
): Promise<Outcome> {
  const random = seeded(`kills ${seed}`);
  const deadlineMs = performance.now() + seconds * 1000;
  const hub = await HubProcess.start(program);
  const outcome: Outcome = {
    kills: 0,
    acknowledged: 0,
    lost: 0,
    doubled: 0,
    gaps: 0,
    wrong: 0,
    undelivered: 0,
    startsMs: [],
    ways: {},
  };
  try {
    await planField(hub, crewPlan("Group 0"));
    const ledger = new Ledger(hub.siteDir);
    const crew = new Crew(hub, ledger, random);
    await crew.meet();
    while (outcome.kills < kills && performance.now() < deadlineMs) {
      const way = await endOnce(hub, crew, random);
      outcome.kills++;
      outcome.ways[way] = (outcome.ways[way] ?? 0) + 1;
      if (random() < 0.1) {
        // Killed while it starts, and started again.
        await Promise.race([hub.start().catch(() => undefined), pause(random() * 900)]);
        await hub.kill();
        outcome.kills++;
        outcome.ways["while starting"] = (outcome.ways["while starting"] ?? 0) + 1;
      }
      await hub.start();
      outcome.startsMs.push(hub.startMs);
      await look(hub, ledger, outcome, say);
      if (untilFound && outcome.lost > 0) break;
      if (outcome.kills % 25 === 0) say(`${outcome.kills} kills, ${ledger.acknowledged.length} acknowledged`);
    }
    if (!untilFound) outcome.undelivered = await crew.deliver();
    await crew.stop();
    const last = ledger.check(true);
    outcome.lost = Math.max(outcome.lost, last.lost.length);
    outcome.doubled = last.doubled.length;
    outcome.gaps = Math.max(outcome.gaps, last.gaps);
    outcome.acknowledged = ledger.acknowledged.length;
    return outcome;
  } finally {
    await hub.remove();
  }
}

/** Work, then an end at some instant; gives which kind of end it was. */
async function endOnce(hub: HubProcess, crew: Crew, random: () => number): Promise<string> {
  const dice = random();
  crew.begin();
  await pause(50 + random() * 800);
  if (dice < 0.1) {
    hub.signal("SIGTERM");
    await hub.exited();
    await crew.stop();
    return "by SIGTERM";
  }
  if (dice < 0.2) {
    // A restore of what is there, with nobody else at work: both sites hold all that was acknowledged.
    await crew.stop();
    await crew.deliver();
    const file = await hub.download("/api/site");
    const restored = hub.asLead("POST", "/api/site", new Uint8Array(file)).catch(() => undefined);
    await Promise.race([restored, pause(random() * 2500)]);
    await pause(random() * 400);
    await hub.kill();
    await restored;
    // Sessions stay on the machine they were made on: a restored site has none.
    hub.forgetLead();
    return "in a restore";
  }
  if (dice < 0.3) {
    void (dice < 0.25 ? crew.savePlan() : crew.cover(random() < 0.5));
    await pause(random() * 25);
    await hub.kill();
    await crew.stop();
    return "at a plan or a cover";
  }
  await hub.kill();
  await crew.stop();
  return "at work";
}

async function look(
  hub: HubProcess,
  ledger: Ledger,
  outcome: Outcome,
  say: (line: string) => void,
): Promise<void> {
  const { lost, gaps } = ledger.check();
  outcome.lost += lost.length;
  outcome.gaps = Math.max(outcome.gaps, gaps);
  for (const one of lost.slice(0, 3)) say(`lost: ${one}`);
  const plan = (await hub.asLead("GET", "/api/plan")).body;
  const known = ledger.plan;
  if (
    known &&
    (plan.revision < known.revision || (plan.revision === known.revision && plan.group !== known.group))
  ) {
    outcome.wrong++;
    say(`the plan is ${plan.revision} ${plan.group}, acknowledged was ${known.revision} ${known.group}`);
  }
  const { cover } = (await hub.call("GET", "/api/board")).body;
  if (ledger.cover !== undefined && cover !== ledger.cover) {
    outcome.wrong++;
    say(`cover is ${cover}, acknowledged was ${ledger.cover}`);
  }
}

function round(ms: number | undefined): number {
  return Math.round(ms ?? 0);
}
