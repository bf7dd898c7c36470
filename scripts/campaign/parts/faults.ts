/**
 * Faults of disk and file: a disk that fills (a small one in memory, where this user may mount one),
 * a file deleted under the hub at random instants, write-ahead logs torn at random places, a place
 * for backups that comes and goes.
 */
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, rmSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import Database from "better-sqlite3";
import { seeded } from "../../../hub/people/seeded.ts";
import { Crew, crewPlan } from "../support/crew.ts";
import { HubProcess, planField } from "../support/hub-process.ts";
import { Ledger } from "../support/ledger.ts";
import type { Figure, Part } from "../support/part.ts";

const DELETIONS = 20;
const TEARS = 20;
const DISK_MB = 12;

export const run: Part = async ({ seed, seconds }, say) => {
  const deadlineMs = performance.now() + seconds * 1000;
  return [
    ...(await fullDisk(say)),
    ...(await deletions(seeded(`deletions ${seed}`), deadlineMs, say)),
    ...(await tears(seeded(`tears ${seed}`), deadlineMs)),
    ...(await stick(say)),
  ];
};

async function until(what: () => Promise<boolean> | boolean, limitMs = 20_000): Promise<number> {
  const startedMs = performance.now();
  while (performance.now() - startedMs < limitMs) {
    if (await what()) return performance.now() - startedMs;
    await pause(20);
  }
  return Number.POSITIVE_INFINITY;
}

const causes = async (hub: HubProcess): Promise<string[]> =>
  (await hub.asLead("GET", "/api/run")).body.alerts.map((alert: { cause: string }) => alert.cause);

async function fullDisk(say: (line: string) => void): Promise<Figure[]> {
  const disk = mkdtempSync(join(tmpdir(), "noonfall-disk-"));
  try {
    execFileSync("mount", ["-t", "tmpfs", "-o", `size=${DISK_MB}m`, "tmpfs", disk], { stdio: "ignore" });
  } catch {
    rmSync(disk, { recursive: true, force: true });
    say("no disk can be mounted here; npm test has the same with SQLite's own limit");
    return [{ figure: "full disk: could be mounted", value: 0, unit: "disks" }];
  }
  const hub = new HubProcess({ dataDir: join(disk, "data") });
  try {
    await hub.start();
    await planField(hub, crewPlan("Group 0"));
    const token = await hub.rigToken("rig-0");
    const ballast = join(disk, "ballast");
    writeFileSync(ballast, Buffer.alloc((DISK_MB - 4) * 1024 * 1024));
    let taken = 0;
    const report = async (n: number): Promise<number> => {
      const checks = Object.fromEntries(Array.from({ length: 50 }, (_, k) => [`check-${k}`, true]));
      const body = { id: `full-${n}`, atUtcMs: Date.now(), checks };
      const { status } = await hub.call("POST", "/api/rigs/rig-0/reports", body, token);
      if (status === 200) taken++;
      return status;
    };
    let n = 0;
    for (; n < 20_000 && (await report(n)) === 200; n++);
    const toldMs = await until(async () => (await causes(hub)).includes("disk-full"));
    await hub.asLead("POST", "/api/orders", { id: "cover", order: { type: "cover" } });
    const covered = (await hub.call("GET", "/api/board")).body.cover === true ? 1 : 0;
    rmSync(ballast);
    const freedMs = await until(async () => (await report(n)) === 200);
    const overMs = await until(async () => !(await causes(hub)).includes("disk-full"));
    writeFileSync(ballast, Buffer.alloc(1));
    // Fills what is left to the last byte.
    try {
      for (;;) writeFileSync(ballast, Buffer.alloc(64 * 1024), { flag: "a" });
    } catch {
      // Full.
    }
    for (let k = n + 1; k < n + 20_000 && (await report(k)) === 200; k++);
    const endedMs = performance.now();
    const code = await hub.end();
    const endMs = performance.now() - endedMs;
    rmSync(ballast);
    await hub.start();
    const { events } = (await hub.asLead("GET", "/api/log.json")).body;
    const logged = events.filter((event: { commandId: string }) =>
      event.commandId.startsWith("full-"),
    ).length;
    return [
      { figure: "full disk: reports until it was full", value: n, unit: "reports" },
      { figure: "full disk: told to the lead after", value: finite(toldMs), unit: "ms", most: 2000 },
      { figure: "full disk: cover took", value: covered, unit: "times", least: 1 },
      {
        figure: "full disk: the report that waited taken after",
        value: finite(freedMs),
        unit: "ms",
        most: 5000,
      },
      { figure: "full disk: alert over after", value: finite(overMs), unit: "ms", most: 10_000 },
      { figure: "full disk: exit code at the end", value: code ?? 99, unit: "code", most: 0 },
      { figure: "full disk: ended in", value: Math.round(endMs), unit: "ms", most: 3000 },
      { figure: "full disk: acknowledged and lost", value: taken - logged, unit: "reports", most: 0 },
    ];
  } finally {
    await hub.remove().catch(() => undefined);
    execFileSync("umount", [disk]);
    rmSync(disk, { recursive: true, force: true });
  }
}

async function deletions(
  random: () => number,
  deadlineMs: number,
  say: (line: string) => void,
): Promise<Figure[]> {
  const hub = await HubProcess.start();
  try {
    await planField(hub, crewPlan("Group 0"));
    const ledger = new Ledger(hub.siteDir);
    const crew = new Crew(hub, ledger, random);
    await crew.meet();
    let done = 0;
    let lost = 0;
    let untold = 0;
    while (done < DELETIONS && performance.now() < deadlineMs) {
      crew.begin();
      await pause(100 + random() * 300);
      const site = join(hub.siteDir, "site.db");
      if (random() < 0.2) rmSync(hub.siteDir, { recursive: true, force: true });
      else
        for (const ending of random() < 0.5 ? [""] : ["", "-wal", "-shm"])
          rmSync(site + ending, { force: true });
      await pause(50 + random() * 1500);
      if ((await until(() => /deleted or replaced under the running hub/.test(hub.printed), 5000)) > 5000)
        untold++;
      await pause(random() * 300);
      await hub.kill();
      await crew.stop();
      done++;
      await hub.start();
      const verdict = ledger.check();
      lost += verdict.lost.length;
      for (const one of verdict.lost.slice(0, 2)) say(`lost after a deletion: ${one}`);
      for (const name of readdirSync(hub.siteDir).filter((one) => one.startsWith("found-")))
        rmSync(join(hub.siteDir, name), { force: true });
    }
    return [
      { figure: "files deleted under a running hub", value: done, unit: "times", least: 1 },
      { figure: "of them not told within seconds", value: untold, unit: "times", most: 0 },
      { figure: "acknowledged around them", value: ledger.acknowledged.length, unit: "commands" },
      { figure: "of those lost", value: lost, unit: "commands", most: 0 },
    ];
  } finally {
    await hub.remove();
  }
}

/** As a disk leaves it that loses what it said it had written: less may be there, but it must be whole. */
async function tears(random: () => number, deadlineMs: number): Promise<Figure[]> {
  const hub = await HubProcess.start();
  try {
    await planField(hub, crewPlan("Group 0"));
    const crew = new Crew(hub, new Ledger(hub.siteDir), random);
    await crew.meet();
    let torn = 0;
    let broken = 0;
    while (torn < TEARS && performance.now() < deadlineMs) {
      crew.begin();
      await pause(80 + random() * 250);
      await hub.kill();
      await crew.stop();
      const wal = join(hub.siteDir, "site.db-wal");
      if (existsSync(wal)) truncateSync(wal, Math.floor(statSync(wal).size * random()));
      torn++;
      await hub.start();
      const db = new Database(join(hub.siteDir, "site.db"), { readonly: true });
      const whole = db.pragma("quick_check(1)", { simple: true }) === "ok";
      const gap = db.prepare("SELECT COALESCE(MAX(seq), 0) - COUNT(*) FROM events").pluck().get();
      db.close();
      if (!whole || gap !== 0) broken++;
      // A tear back to the beginning takes the plan with it.
      if ((await hub.asLead("GET", "/api/plan")).status === 401) hub.forgetLead();
      const { body } = await hub.asLead("GET", "/api/plan");
      if (body.rigs?.length === 0) await planField(hub, crewPlan("Group 0"));
    }
    return [
      { figure: "write-ahead logs torn", value: torn, unit: "times", least: 1 },
      { figure: "of them that left a site not whole", value: broken, unit: "times", most: 0 },
    ];
  } finally {
    await hub.remove();
  }
}

async function stick(say: (line: string) => void): Promise<Figure[]> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-stick-"));
  const hub = new HubProcess({ args: ["--backup", folder] });
  try {
    await hub.start();
    await planField(hub);
    const firstMs = await until(() => readdirSync(folder).some((name) => name.endsWith(".site")));
    const made = readdirSync(folder).filter((name) => name.endsWith(".site"));
    await hub.kill();
    rmSync(hub.siteDir, { recursive: true, force: true });
    await hub.start(["--restore", made[0] ?? ""]);
    hub.forgetLead();
    const rigs = (await hub.asLead("GET", "/api/plan")).body.rigs?.length ?? 0;
    if (rigs === 0) say(hub.printed.slice(-500));
    return [
      { figure: "first backup after the start", value: finite(firstMs), unit: "ms" },
      {
        figure: "hub whose folder was lost goes on with it by name",
        value: rigs > 0 ? 1 : 0,
        unit: "hubs",
        least: 1,
      },
    ];
  } finally {
    await hub.remove();
    rmSync(folder, { recursive: true, force: true });
  }
}

function finite(ms: number): number {
  return Number.isFinite(ms) ? Math.round(ms) : 999_999;
}
