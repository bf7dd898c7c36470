/**
 * Site files that no hub may go on with, handed in through the front door, with a good rig at work
 * beside; then good files with some bytes turned over by chance: what is let in of those, a hub
 * must be able to start with.
 */
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileWork } from "../../../hub/log/file-work.ts";
import { seeded } from "../../../hub/people/seeded.ts";
import { BAD_FILES, makeBad } from "../support/bad-files.ts";
import { GoodRig } from "../support/good-rig.ts";
import { HubProcess, planField } from "../support/hub-process.ts";
import type { Figure, Part } from "../support/part.ts";

const MOST_TURNED = 60;
const MOST_STARTS = 12;

export const run: Part = async ({ seed, seconds }, say) => {
  const random = seeded(`files ${seed}`);
  const deadlineMs = performance.now() + seconds * 1000;
  const folder = mkdtempSync(join(tmpdir(), "noonfall-files-"));
  const hub = await HubProcess.start();
  try {
    await planField(hub);
    const rig = new GoodRig(hub, "west");
    await rig.begin();
    while (rig.sent.length < 12) await new Promise((resolve) => setTimeout(resolve, 100));
    const good = join(folder, "good.site");
    writeFileSync(good, await hub.download("/api/site"));

    let letIn = 0;
    let unsaid = 0;
    for (const bad of BAD_FILES) {
      const file = join(folder, "bad.site");
      makeBad(good, bad, file);
      const { status, body } = await hub.asLead("POST", "/api/site", readFileSync(file));
      if (status === 202) {
        letIn++;
        say(`let in: ${bad.name}`);
        throw new Error(`the hub took ${bad.name}; what follows would be of another site`);
      }
      if (status !== 400 || !/^The file [^\n]{5,300}$/.test(body.error?.message ?? "")) {
        unsaid++;
        say(`${bad.name}: ${status} ${JSON.stringify(body).slice(0, 200)}`);
      }
    }
    await rig.stop();
    const lost = await rig.lost();
    const turned = await turnOver(good, folder, random, deadlineMs, say);
    return [
      { figure: "spoilt site files handed in", value: BAD_FILES.length, unit: "files", least: 45 },
      { figure: "of them let in", value: letIn, unit: "files", most: 0 },
      { figure: "of them refused without a sentence", value: unsaid, unit: "files", most: 0 },
      { figure: "reports of the rig beside them", value: rig.sent.length, unit: "reports" },
      { figure: "of those not taken or lost", value: rig.failed + lost.length, unit: "reports", most: 0 },
      { figure: "its longest wait", value: Math.round(rig.longestMs), unit: "ms" },
      ...turned,
    ];
  } finally {
    await hub.remove();
    rmSync(folder, { recursive: true, force: true });
  }
};

async function turnOver(
  good: string,
  folder: string,
  random: () => number,
  deadlineMs: number,
  say: (line: string) => void,
): Promise<Figure[]> {
  const bytes = readFileSync(good);
  let made = 0;
  let letIn = 0;
  let starts = 0;
  let failed = 0;
  while (made < MOST_TURNED && performance.now() < deadlineMs) {
    made++;
    const spoilt = Buffer.from(bytes);
    for (let n = 1 + Math.floor(random() * 3); n > 0; n--) {
      const at = Math.floor(random() * spoilt.length);
      spoilt[at] = (spoilt[at] ?? 0) ^ (1 << Math.floor(random() * 8));
    }
    const file = join(folder, `turned-${made}.site`);
    writeFileSync(file, spoilt);
    const taken = await fileWork("prepare", { file }).then(
      () => true,
      () => false,
    );
    if (!taken) continue;
    letIn++;
    if (starts >= MOST_STARTS) continue;
    starts++;
    const dataDir = join(folder, `data-${made}`);
    mkdirSync(join(dataDir, "site"), { recursive: true });
    copyFileSync(file, join(dataDir, "site", "incoming.db"));
    const hub = new HubProcess({ dataDir });
    const up = await hub.start().then(
      () => true,
      (error: Error) => say(`turned over ${made}: ${error.message.slice(-400)}`),
    );
    if (!up) failed++;
    await hub.remove();
  }
  return [
    { figure: "files with bits turned over by chance", value: made, unit: "files" },
    { figure: "of them let in", value: letIn, unit: "files" },
    { figure: "hubs started with those", value: starts, unit: "hubs" },
    { figure: "of them that could not start", value: failed, unit: "hubs", most: 0 },
  ];
}
