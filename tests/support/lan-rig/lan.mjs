#!/usr/bin/env node
// lan.mjs - a throw-away Wi-Fi site on one machine: 1 hub namespace, 1 bridge namespace, N device namespaces.
//   lan.mjs up   LAB N PROFILE[,PROFILE...]   build it (profiles are dealt round-robin over devices)
//   lan.mjs down LAB                          remove every trace
//   lan.mjs run  LAB N PROFILE -- CMD...      build, run CMD (env LAB_*), always remove
//   lan.mjs ctl  LAB "down 3" | "up 3" | "set 3 up loss=0.5" | stats
//   lan.mjs selftest
// Names: namespaces LAB-hub, LAB-sw, LAB-dI; hub 10.77.0.1/16, device I = 10.77.(1+I>>8).(I&255) .
// The subnet exists only inside these namespaces; nothing is routed to or from the host.
import { execFileSync, spawn } from "node:child_process";
import fs from "node:fs";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { PROFILES } from "./profiles.mjs";

const HERE = path.dirname(fileURLToPath(import.meta.url));
export const WORK = process.env.LAN_RIG_WORK ?? path.join(os.tmpdir(), "lan-rig");
const EMU = `${WORK}/netemu`;
export const HUB_IP = "10.77.0.1";
export const devIp = (i) => `10.77.${1 + (i >> 8)}.${i & 255}`;
const sh = (cmd, args) => execFileSync(cmd, args, { stdio: ["ignore", "pipe", "pipe"] }).toString();
const tryq = (f) => {
  try {
    return f();
  } catch {
    return "";
  }
};
const dirOf = (lab) => `${WORK}/labs/${lab}`;
const okName = (l) => {
  if (!/^[a-z][a-z0-9]{0,9}$/.test(l)) throw new Error("LAB must be [a-z][a-z0-9]{0,9}");
  return l;
};
const batch = (lines) => {
  const f = `${WORK}/ipb.${process.pid}`;
  fs.writeFileSync(f, `${lines.join("\n")}\n`);
  try {
    sh("ip", ["-batch", f]);
  } finally {
    fs.rmSync(f, { force: true });
  }
};
export const sleep = (ms) => new Promise((r) => setTimeout(r, ms));
const alive = (pid) => {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
};
const mac = (a, i) =>
  `02:77:${a}:00:${(i >> 8).toString(16).padStart(2, "0")}:${(i & 255).toString(16).padStart(2, "0")}`;

export async function up(lab, n, profiles, { maxLife = 900, seed = 1, watchPid = 0 } = {}) {
  okName(lab);
  down(lab);
  if (n < 1 || n > 200) throw new Error("1..200 devices");
  for (const p of profiles) if (!PROFILES[p]) throw new Error(`unknown profile ${p}`);
  const d = dirOf(lab);
  fs.mkdirSync(d, { recursive: true });
  fs.mkdirSync(WORK, { recursive: true });
  const src = `${HERE}/netemu.c`;
  if (!fs.existsSync(EMU) || fs.statSync(EMU).mtimeMs < fs.statSync(src).mtimeMs)
    sh("gcc", ["-O2", "-o", EMU, src, "-lm"]);
  try {
    const nss = [`${lab}-hub`, `${lab}-sw`, ...Array.from({ length: n }, (_, i) => `${lab}-d${i + 1}`)];
    batch(nss.map((x) => `netns add ${x}`));
    for (const x of nss)
      tryq(() =>
        sh("ip", [
          "netns",
          "exec",
          x,
          "sysctl",
          "-qw",
          "net.ipv6.conf.all.disable_ipv6=1",
          "net.ipv6.conf.default.disable_ipv6=1",
        ]),
      );
    const conf = [],
      devices = [];
    for (let i = 1; i <= n; i++) {
      const profile = profiles[(i - 1) % profiles.length],
        P = PROFILES[profile];
      conf.push(
        `link ${i} ${lab}-d${i} wlan0 ${lab}-sw p${i}`,
        `dir ${i} up ${P.up}`,
        `dir ${i} down ${P.down}`,
      );
      devices.push({ i, ns: `${lab}-d${i}`, ip: devIp(i), profile });
    }
    fs.writeFileSync(`${d}/emu.conf`, `${conf.join("\n")}\n`);
    const log = fs.openSync(`${d}/emu.log`, "w");
    const emu = spawn(EMU, [`${d}/emu.conf`, `${d}/ctl.sock`, String(maxLife), String(seed)], {
      detached: true,
      stdio: ["ignore", log, log],
    });
    emu.unref();
    fs.writeFileSync(`${d}/emu.pid`, String(emu.pid));
    for (let k = 0; k < 100 && !/ready/.test(fs.readFileSync(`${d}/emu.log`, "utf8")); k++) {
      if (!alive(emu.pid)) throw new Error(`netemu died: ${fs.readFileSync(`${d}/emu.log`, "utf8")}`);
      await sleep(50);
    }
    const nx = (ns, lines) => {
      const f = `${WORK}/ipb.${process.pid}`;
      fs.writeFileSync(f, `${lines.join("\n")}\n`);
      try {
        sh("ip", ["-n", ns, "-batch", f]);
      } finally {
        fs.rmSync(f, { force: true });
      }
    };
    nx(`${lab}-sw`, [
      "link add br0 type bridge mcast_snooping 0",
      "link set br0 up",
      `link add hubp type veth peer name eth0 netns ${lab}-hub`,
      "link set hubp master br0",
      "link set hubp up",
      ...devices.flatMap((v) => [`link set p${v.i} master br0`, `link set p${v.i} up`]),
    ]);
    nx(`${lab}-hub`, [
      "link set lo up",
      `link set eth0 address ${mac("aa", 0)}`,
      `addr add ${HUB_IP}/16 dev eth0`,
      "link set eth0 up",
      ...devices.map((v) => `neigh replace ${v.ip} lladdr ${mac("dd", v.i)} dev eth0 nud permanent`),
    ]);
    for (const v of devices)
      nx(v.ns, [
        "link set lo up",
        `link set wlan0 address ${mac("dd", v.i)}`,
        `addr add ${v.ip}/16 dev wlan0`,
        "link set wlan0 up",
        `neigh replace ${HUB_IP} lladdr ${mac("aa", 0)} dev wlan0 nud permanent`,
      ]);
    const meta = { lab, n, hub: `${lab}-hub`, hubIp: HUB_IP, devices, emuPid: emu.pid };
    fs.writeFileSync(`${d}/lab.json`, JSON.stringify(meta));
    if (watchPid) {
      // janitor: removes the lab if the owner is killed outright
      const j = spawn(
        "sh",
        [
          "-c",
          `i=0; while kill -0 ${watchPid} 2>/dev/null && [ $i -lt ${Math.ceil(maxLife)} ]; do sleep 1; i=$((i+1)); done; exec ${process.execPath} ${HERE}/lan.mjs down ${lab}`,
        ],
        { detached: true, stdio: "ignore" },
      );
      j.unref();
      fs.writeFileSync(`${d}/janitor.pid`, String(j.pid));
    }
    return meta;
  } catch (e) {
    down(lab);
    throw e;
  }
}
export function down(lab) {
  okName(lab);
  const d = dirOf(lab);
  // processes still inside our own namespaces (they were started by this lab)
  const names = tryq(() => sh("ip", ["netns", "list"]))
    .split("\n")
    .map((l) => l.split(" ")[0])
    .filter((x) => new RegExp(`^${lab}-(hub|sw|d\\d+)$`).test(x));
  const me = fs.readlinkSync("/proc/self/ns/net");
  for (const ns of names)
    for (const pid of tryq(() => sh("ip", ["netns", "pids", ns]))
      .split("\n")
      .filter(Boolean)) {
      if (+pid === process.pid) continue; // never ourselves
      let at = "";
      try {
        at = fs.readlinkSync(`/proc/${pid}/ns/net`);
      } catch {}
      if (!at || at === me) continue;
      try {
        process.kill(+pid, "SIGTERM");
      } catch {}
    }
  const pidf = `${d}/emu.pid`;
  if (fs.existsSync(pidf)) {
    const pid = +fs.readFileSync(pidf, "utf8");
    const c = tryq(() => fs.readFileSync(`/proc/${pid}/comm`, "utf8").trim());
    if (c === "netemu") {
      try {
        process.kill(pid, "SIGTERM");
      } catch {}
    }
  }
  const jf = `${d}/janitor.pid`;
  if (fs.existsSync(jf)) {
    const pid = +fs.readFileSync(jf, "utf8");
    const c = tryq(() => fs.readFileSync(`/proc/${pid}/cmdline`, "utf8"));
    if (c.includes(`lan.mjs down ${lab}`) && pid !== process.pid) {
      try {
        process.kill(-pid, "SIGTERM");
      } catch {}
    }
  }
  for (const ns of names) tryq(() => sh("ip", ["netns", "del", ns]));
  fs.rmSync(d, { recursive: true, force: true });
}
export const ctl = (lab, line) =>
  new Promise((res, rej) => {
    const s = net.connect(`${dirOf(lab)}/ctl.sock`);
    let o = "";
    s.on("data", (b) => (o += b));
    s.on("end", () => res(o));
    s.on("error", rej);
    s.write(`${line}\n`);
  });
export const inNs = (ns, cmd, args, opts = {}) => spawn("ip", ["netns", "exec", ns, cmd, ...args], opts);

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [, , verb, lab, n, prof, ...rest] = process.argv;
  if (verb === "up") {
    const m = await up(lab, +n, prof.split(","));
    console.log(JSON.stringify(m));
    process.exit(0);
  } else if (verb === "down") down(lab);
  else if (verb === "ctl") process.stdout.write(await ctl(lab, n));
  else if (verb === "run") {
    let code = 1,
      child;
    const stop = (s) => {
      if (child)
        try {
          child.kill(s);
        } catch {}
    };
    for (const s of ["SIGINT", "SIGTERM", "SIGHUP"]) process.on(s, () => stop(s));
    try {
      const m = await up(lab, +n, prof.split(","), { watchPid: process.pid });
      const cmd = rest[0] === "--" ? rest.slice(1) : rest;
      child = spawn(cmd[0], cmd.slice(1), {
        stdio: "inherit",
        env: {
          ...process.env,
          LAB: lab,
          LAB_HUB_NS: m.hub,
          LAB_HUB_IP: HUB_IP,
          LAB_DEV_NS: m.devices.map((d) => d.ns).join(" "),
        },
      });
      code = await new Promise((r) => child.on("exit", (c, s) => r(s ? 128 : (c ?? 1))));
    } finally {
      down(lab);
    }
    process.exit(code);
  } else if (verb === "selftest") {
    const l = "selft";
    const names = Object.keys(PROFILES);
    try {
      await up(l, names.length, names, { watchPid: process.pid });
      for (let i = 1; i <= names.length; i++) {
        const o =
          tryq(() =>
            sh("ip", ["netns", "exec", `${l}-d${i}`, "ping", "-q", "-i", "0.02", "-c", "300", HUB_IP]),
          ) || "no ping binary";
        console.log(names[i - 1].padEnd(7), o.trim().split("\n").slice(-2).join(" | "));
      }
      await ctl(l, "down 1");
      console.log(
        "link down ->",
        tryq(() =>
          sh("ip", ["netns", "exec", `${l}-d1`, "ping", "-q", "-i", "0.1", "-c", "5", "-W", "1", HUB_IP]),
        )
          ? "STILL UP (bad)"
          : "cut (ok)",
      );
      await ctl(l, "up 1");
      console.log((await ctl(l, "stats")).trim());
    } finally {
      down(l);
    }
    console.log("namespaces left:", tryq(() => sh("ip", ["netns", "list"])).trim() || "none");
  } else {
    console.error("usage: lan.mjs up|down|run|ctl|selftest");
    process.exit(2);
  }
}
