/**
 * A crowd's whole way out as real processes on loopback: Redis, a hub that publishes to it, relays, and
 * Debian's nginx before them with the project's own configuration. Whoever has not the programs is
 * told which package has them.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { chmodSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { COUNTERPARTS, findProgram } from "../../scripts/setup/debian.mjs";
import { freePort } from "../../scripts/setup/free-port.mjs";
import { type HubMachine, onMachine } from "../browser/support/start-hub.ts";
import { PROGRAMS } from "./built-hub.ts";
import { until } from "./until.ts";

const at = (path: string): string => fileURLToPath(new URL(`../../${path}`, import.meta.url));
const RELAY = join(PROGRAMS, "relay.js");
const NGINX_CONF = at("hub/relay/nginx.conf");
const PASSWORD = "sesame";

export interface Part {
  url: string;
  /** Ends it at once, as a power cut would. */
  kill(): Promise<void>;
  startAgain(): Promise<void>;
  printed(): string;
  pid(): number;
}

export interface CrowdField {
  redis: Part;
  relays: Part[];
  nginx: Part;
  end(): Promise<void>;
}

/** The address for `--publish` and `--from`; its port is free until Redis is started. */
export async function brokerUrl(): Promise<string> {
  return `redis://:${PASSWORD}@127.0.0.1:${await freePort()}`;
}

/** `machine`: whose clock the relays have. */
export async function startCrowdField(
  broker: string,
  machine: HubMachine = {},
  count = 2,
): Promise<CrowdField> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-crowd-"));
  chmodSync(folder, 0o755);
  const parts: Part[] = [];
  const end = async (): Promise<void> => {
    await Promise.all(parts.map((one) => one.kill()));
    rmSync(folder, { recursive: true, force: true });
  };
  try {
    const redis = await startRedis(broker, folder);
    parts.push(redis);
    const relays: Part[] = [];
    for (let n = 0; n < count; n++) {
      const relay = await startRelay(broker, machine);
      relays.push(relay);
      parts.push(relay);
    }
    const nginx = await startNginx(folder, relays);
    parts.push(nginx);
    return { redis, relays, nginx, end };
  } catch (error) {
    await end();
    throw error;
  }
}

/** Debian's Redis for the tests' password, keeping nothing; `more`: settings of its own ("--maxmemory", "1mb"). */
export function startRedis(broker: string, folder: string, more: readonly string[] = []): Promise<Part> {
  const { port } = new URL(broker);
  const own = ["--port", port, "--bind", "127.0.0.1", "--save", "", "--appendonly", "no", "--dir", folder];
  const program = needed("redis-server");
  const args = [...own, "--requirepass", PASSWORD, ...more];
  return part(program, args, { url: broker, ready: /Ready to accept connections/ });
}

/** Debian's nginx with the project's own configuration, before relays. */
export async function startNginx(folder: string, relays: readonly { url: string }[]): Promise<Part> {
  const front = await freePort();
  const conf = join(folder, "nginx.conf");
  writeFileSync(conf, nginxConf(folder, front, relays));
  const nginx = await part(needed("nginx"), ["-e", "stderr", "-p", folder, "-c", conf], {
    url: `http://127.0.0.1:${front}`,
  });
  const answers = () =>
    fetch(`${nginx.url}/api/health`).then(
      ({ ok }) => ok,
      () => false,
    );
  await until("nginx answers", answers, { told: nginx.printed });
  return nginx;
}

/** One relay, from a broker, a hub or another relay. */
export async function startRelay(
  from: string,
  machine: HubMachine = {},
  more: readonly string[] = [],
): Promise<Part> {
  const port = await freePort();
  const own = ["--from", from, "--listen", `127.0.0.1:${port}`];
  const args = [...onMachine(machine).before, RELAY, ...own, ...more];
  return part(process.execPath, args, { url: `http://127.0.0.1:${port}`, ready: /Relay is up/, machine });
}

/** The project's configuration with the places of this test; every one of them must be found in it. */
function nginxConf(folder: string, port: number, relays: readonly { url: string }[]): string {
  let text = readFileSync(NGINX_CONF, "utf8");
  const put = (what: string | RegExp, by: string): void => {
    const changed = text.replace(what, by);
    if (changed === text) throw new Error(`hub/relay/nginx.conf has no ${what}`);
    text = changed;
  };
  put("listen 80 ", `listen 127.0.0.1:${port} `);
  put(
    /( +server 127\.0\.0\.1:\d+ [^\n]+\n)+/,
    relays.map(({ url }) => `server ${url.slice(7)} max_fails=1 fail_timeout=2s;\n`).join(""),
  );
  put("/var/cache/nginx/noonfall", `${folder}/cache`);
  put("worker_processes auto;", "worker_processes 2;");
  const temporary = ["client_body", "proxy", "fastcgi", "uwsgi", "scgi"];
  put(
    "access_log off;",
    `access_log off;\n${temporary.map((name) => `${name}_temp_path ${folder}/${name};`).join("\n")}`,
  );
  const user = process.getuid?.() === 0 ? "user root;\n" : "";
  return `daemon off;\npid ${folder}/nginx.pid;\n${user}${text}`;
}

function needed(program: keyof typeof COUNTERPARTS): string {
  const file = findProgram(program);
  if (!file) throw new Error(`This needs ${program}. On Debian: apt-get install ${COUNTERPARTS[program]}`);
  return file;
}

interface How {
  url: string;
  /** What it prints when it is up. */
  ready?: RegExp;
  machine?: HubMachine;
}

async function part(program: string, args: readonly string[], { url, ready, machine }: How): Promise<Part> {
  let printed = "";
  let child: ChildProcess | undefined;
  let ended: Promise<unknown> = Promise.resolve();
  const start = async (): Promise<void> => {
    let own = "";
    const started = spawn(program, [...args], {
      detached: true,
      stdio: ["ignore", "pipe", "pipe"],
      env: onMachine(machine).env,
    });
    child = started;
    ended = new Promise((resolve) => started.once("exit", resolve));
    for (const stream of [started.stdout, started.stderr])
      stream?.on("data", (chunk: Buffer) => {
        own += chunk.toString();
        printed += chunk.toString();
      });
    if (!ready) return;
    await until(
      `${program} is up`,
      () => {
        if (started.exitCode !== null) throw new Error(`${program} ended with ${started.exitCode}:\n${own}`);
        return ready.test(own);
      },
      { limitMs: 60_000, told: () => own },
    );
  };
  await start();
  return {
    url,
    async kill() {
      // Its whole group: nginx has workers, which would outlive it.
      if (child?.pid !== undefined && child.exitCode === null && child.signalCode === null)
        process.kill(-child.pid, "SIGKILL");
      await ended;
    },
    startAgain: start,
    printed: () => printed,
    pid: () => child?.pid ?? 0,
  };
}
