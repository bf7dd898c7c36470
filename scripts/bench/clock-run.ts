/**
 * Runs the clock bench on the network rig: builds a site, starts one device program and one chronyd
 * per namespace, cuts the links for the hold-over, collects what the devices wrote.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { build } from "vite";
import { findChromium } from "../setup/chromium.mjs";
import { kernelMs } from "./clock-truth.ts";

const HERE = fileURLToPath(new URL(".", import.meta.url));
const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const PORT = 7700;

/** The rig's own module (tests/support/lan-rig/lan.mjs), as far as it is used. */
export interface LanRig {
  HUB_IP: string;
  up(lab: string, n: number, profiles: string[], options: object): Promise<LanSite>;
  down(lab: string): void;
  ctl(lab: string, line: string): Promise<string>;
  sleep(ms: number): Promise<void>;
}
export interface LanSite {
  hub: string;
  devices: { i: number; ns: string; ip: string; profile: string }[];
}
type Profiles = Record<string, { outages?: [number, number][] }>;

export const loadRig = async (): Promise<LanRig> =>
  import(new URL("../../tests/support/lan-rig/lan.mjs", import.meta.url).href);
const loadProfiles = async (): Promise<Profiles> =>
  (await import(new URL("../../tests/support/lan-rig/profiles.mjs", import.meta.url).href)).PROFILES;

/** A look at the three clocks, once a second; errors in ms, null while not synced. */
export interface LookRow {
  k: "look";
  /** Since joining, ms. */
  t: number;
  ours: number | null;
  bound: number | null;
  /** Least delay so far. */
  least: number | null;
  timesync: number | null;
  chrony: number | null;
}
export interface HeardRow {
  k: "heard";
  /** Kernel's monotonic clock, ms. */
  at: number;
}
/** An exchange: t1, t2, t3, t4 with the hub's epoch taken off. */
export interface ExchangeRow {
  k: "x";
  s: [number, number, number, number];
}

export interface DeviceRecord {
  i: number;
  profile: string;
  ppm: number;
  zeroMs: number;
  joined: number;
  rows: (LookRow | HeardRow | ExchangeRow)[];
}
export interface RigRecord {
  devices: DeviceRecord[];
  /** When links came back, kernel's monotonic ms. */
  returns: { device: number; at: number }[];
  /** When all links were cut for the hold-over. */
  cutAt: number;
}
export interface RigOptions {
  lab: string;
  profiles: string[];
  perProfile: number;
  syncS: number;
  holdS: number;
  chrony: boolean;
  exchanges?: boolean;
  seed?: number;
  log?: (line: string) => void;
}

/** What this machine lacks for the rig, as plain words; empty when nothing. */
export function missing(withPages: boolean): string[] {
  const has = (name: string) =>
    ["/usr/sbin", "/usr/bin", "/sbin", "/bin", "/usr/local/sbin", "/usr/local/bin"].some((d) =>
      existsSync(join(d, name)),
    );
  const out: string[] = [];
  if (process.platform !== "linux") out.push("Linux (the rig uses network namespaces)");
  if (process.getuid?.() !== 0) out.push("root (to make network namespaces)");
  if (!has("gcc")) out.push("gcc (the link emulator is compiled here)");
  if (!has("ip")) out.push("iproute2 (the ip command)");
  if (!existsSync("/dev/net/tun")) out.push("/dev/net/tun (the links are TUN/TAP devices)");
  if (!has("chronyd")) out.push("chrony (its daemon is compared against)");
  if (withPages && !findChromium()) out.push("Chromium (for the rig pages; or leave them out: --pages 0)");
  return out;
}

/** Bundles the bench's programs once: forty devices shall not each compile them. */
export async function bundle(outDir: string, names: string[]): Promise<void> {
  await build({
    configFile: false,
    root: ROOT,
    logLevel: "error",
    build: {
      ssr: true,
      outDir,
      emptyOutDir: false,
      target: "node20",
      minify: false,
      rollupOptions: {
        input: Object.fromEntries(names.map((name) => [name, join(HERE, `${name}.ts`)])),
        output: { entryFileNames: "[name].mjs" },
      },
    },
  });
}

/** Rates spread evenly over ±50 ppm and over the profiles. */
const ratePpm = (i: number, n: number) => (n === 1 ? 37 : -50 + (100 * ((i * 17) % n)) / (n - 1));

export async function runRig(options: RigOptions): Promise<RigRecord> {
  const { lab, profiles, perProfile, syncS, holdS, chrony } = options;
  const { up, down, sleep, HUB_IP, ...rig } = await loadRig();
  // the emulator gives a speaker 200 ms, which a busy machine may miss; saying it twice does no harm
  const ctl = async (line: string) => {
    for (let tries = 1; ; tries++) {
      try {
        return await rig.ctl(lab, line);
      } catch (error) {
        if (tries === 10) throw error;
        await sleep(20);
      }
    }
  };
  const outages = await loadProfiles();
  const log = options.log ?? (() => {});
  const n = profiles.length * perProfile;
  const work = join(tmpdir(), `clock-bench-${process.pid}`);
  const programs = join(ROOT, "build", `clock-bench-${process.pid}`);
  mkdirSync(work, { recursive: true });
  const children: ChildProcess[] = [];
  const inNs = (ns: string, cmd: string, args: string[]) => {
    const child = spawn("ip", ["netns", "exec", ns, cmd, ...args], { stdio: ["ignore", "pipe", "inherit"] });
    children.push(child);
    return child;
  };
  const chronyd = (ns: string, lines: string[]) => {
    const conf = join(work, `${ns}.conf`);
    const own = [`pidfile ${join(work, ns)}.pid`, "cmdport 0", "bindcmdaddress /"];
    writeFileSync(conf, `${[...lines, ...own].join("\n")}\n`);
    inNs(ns, "chronyd", ["-x", "-n", "-u", "root", "-f", conf]);
  };
  const clean = () => {
    for (const child of children) child.kill("SIGTERM");
    down(lab);
    rmSync(work, { recursive: true, force: true });
    rmSync(programs, { recursive: true, force: true });
  };
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const)
    process.once(signal, () => {
      clean();
      process.exit(130);
    });
  try {
    await bundle(programs, ["clock-hub", "clock-device"]);
    const site = await up(lab, n, profiles, {
      maxLife: syncS + holdS + 180,
      seed: options.seed ?? 1,
      watchPid: process.pid,
    });
    const hub = inNs(site.hub, process.execPath, [join(programs, "clock-hub.mjs"), HUB_IP, String(PORT)]);
    await new Promise<void>((ready, failed) => {
      hub.stdout?.once("data", () => ready());
      hub.once("exit", () => failed(new Error("the bench's hub did not start")));
    });
    if (chrony) chronyd(site.hub, ["local stratum 1", "allow all"]);
    await sleep(chrony ? 1500 : 100);
    const devices: DeviceRecord[] = [];
    for (const d of site.devices) {
      if (chrony) chronyd(d.ns, [`server ${HUB_IP} iburst minpoll 2 maxpoll 4`, "allow 127.0.0.1"]);
      const device: DeviceRecord = {
        i: d.i,
        profile: d.profile,
        ppm: ratePpm(d.i, n),
        zeroMs: 1000 * d.i,
        joined: 0,
        rows: [],
      };
      const { ppm, zeroMs } = device;
      const setup = {
        ppm,
        zeroMs,
        url: `http://${HUB_IP}:${PORT}`,
        chrony,
        exchanges: options.exchanges ?? false,
      };
      const child = inNs(d.ns, process.execPath, [join(programs, "clock-device.mjs"), JSON.stringify(setup)]);
      if (child.stdout)
        createInterface({ input: child.stdout }).on("line", (line) => {
          const row = JSON.parse(line);
          if (row.k === "joined") device.joined = row.at;
          else device.rows.push(row);
        });
      devices.push(device);
      await sleep(150);
    }
    const start = kernelMs();
    const waitUntil = (atS: number) => sleep(Math.max(0, start + atS * 1000 - kernelMs()));
    log(`${n} devices joined`);
    const returns: RigRecord["returns"] = [];
    const cuts = devices
      .flatMap((d) => (outages[d.profile]?.outages ?? []).map(([from, to]) => ({ i: d.i, from, to })))
      .flatMap((o) => [
        { at: o.from, verb: "down", i: o.i },
        { at: o.to, verb: "up", i: o.i },
      ])
      .filter((c) => c.at < syncS)
      .sort((a, b) => a.at - b.at);
    for (const cut of cuts) {
      await waitUntil(cut.at);
      await ctl(`${cut.verb} ${cut.i}`);
      if (cut.verb === "up") returns.push({ device: cut.i, at: kernelMs() });
    }
    await waitUntil(syncS);
    log(`${syncS} s of sync done`);
    const cutAt = kernelMs();
    if (holdS > 0) {
      await ctl("down *");
      await sleep(holdS * 1000 + 1500);
      log(`${holdS} s of hold-over done`);
    }
    return { devices, returns, cutAt };
  } finally {
    clean();
  }
}
