/**
 * start.mjs in a folder of its own, with a tiny project in place of this one: one local package
 * that stands in for the builder, and a hub that prints its arguments. npm is the real one and
 * needs no network for it.
 */
import { spawn } from "node:child_process";
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import { runNpm, runProgram } from "../../scripts/setup/run-program.mjs";

let root: string;

beforeAll(async () => {
  root = mkdtempSync(join(tmpdir(), "noonfall start ")); // With spaces, as folders of people have.
  cpSync(fileURLToPath(new URL("../../scripts/setup", import.meta.url)), join(root, "scripts", "setup"), {
    recursive: true,
  });
  cpSync(
    fileURLToPath(new URL("../../scripts/start.mjs", import.meta.url)),
    join(root, "scripts", "start.mjs"),
  );
  write("package.json", {
    name: "tiny",
    version: "1.0.0",
    type: "module",
    scripts: { start: "node scripts/start.mjs" },
    engines: { node: "^20.19 || ^22.12 || ^24" },
    dependencies: { vite: "file:./packed/vite-1.0.0.tgz" },
    devDependencies: { tested: "file:./packed/tested-1.0.0.tgz" },
  });
  write("packages/vite/package.json", { name: "vite", version: "1.0.0", files: ["bin"] });
  // Builds as the real one is asked to: --config ROOM/vite.config.ts, into build/ROOM.
  write(
    "packages/vite/bin/vite.js",
    `const fs = require("node:fs"), path = require("node:path");
     const room = path.basename(path.dirname(process.argv.at(-1)));
     const source = fs.readFileSync(path.join(room, "source.js"), "utf8");
     if (source.includes("BROKEN")) { console.error("cannot build " + room); process.exit(1); }
     const files = room === "hub"
       ? ["build/hub/main.js", "build/hub/relay.js", "build/hub/agent.js", "build/hub/file-work-main.js"]
       : ["build/console/.vite/manifest.json"];
     for (const file of files) {
       fs.mkdirSync(path.dirname(file), { recursive: true });
       fs.writeFileSync(file, source);
     }`,
  );
  write("packages/tested/package.json", { name: "tested", version: "1.0.0" });
  mkdirSync(join(root, "packed"));
  for (const name of ["vite", "tested"]) {
    const packed = await npm(["pack", `./packages/${name}`, "--pack-destination", "packed", "--silent"]);
    expect(packed.output.trim()).toMatch(/-1\.0\.0\.tgz$/);
  }
  write("hub/source.js", HUB_SOURCE);
  write("console/source.js", "{}");
  write("shared/a.js", "1");
  const locked = await npm(["install", "--package-lock-only", "--offline", "--no-audit", "--no-fund"]);
  expect(locked.code, locked.output).toBe(0);
}, 120_000);
afterAll(() => rmSync(root, { recursive: true, force: true }));

function write(path: string, content: string | object): void {
  const file = join(root, path);
  mkdirSync(join(file, ".."), { recursive: true });
  writeFileSync(file, typeof content === "string" ? content : JSON.stringify(content));
}

function npm(args: string[]): ReturnType<typeof runNpm> {
  return runNpm(args, { cwd: root, quiet: true, timeoutMs: 60_000 });
}

async function start(env: NodeJS.ProcessEnv = {}): Promise<{ code: number; output: string }> {
  const args = [join(root, "scripts", "start.mjs"), "--port", "8081"];
  const clean = { ...process.env, NODE_ENV: undefined, VITEST: undefined, ...env };
  return runProgram(process.execPath, args, { env: clean, quiet: true, timeoutMs: 90_000 });
}

const INSTALLING = "Installing packages";
const BUILDING = "Building the pages";
const HUB = 'hub ["--port","8081"]';
const HUB_SOURCE = `console.log("hub " + JSON.stringify(process.argv.slice(2)));`;
/** Whether the hub that was built last is one that stays. */
let staying = false;

/** In place of the tiny hub one that stays until it is told, and leaves word of both. */
function aHubThatStays(): void {
  staying = true;
  for (const file of ["pid", "ended"]) rmSync(join(root, file), { force: true });
  write(
    "hub/source.js",
    `import { writeFileSync } from "node:fs";
     setInterval(() => undefined, 1000);
     process.on("SIGTERM", () => { writeFileSync("ended", "cleanly"); process.exit(0); });
     writeFileSync("pid", String(process.pid));`,
  );
}

describe("npm start", () => {
  /** Installed and built, unless the test before has left it so. */
  beforeEach(async () => {
    write("hub/source.js", HUB_SOURCE);
    const fresh = ["node_modules/.noonfall-install.json", "build/stamp.txt"];
    if (!fresh.every((file) => existsSync(join(root, file))) || staying) await start();
    staying = false;
  });

  it("installs, builds and becomes the hub with its arguments, from any working folder", async () => {
    for (const made of ["node_modules", "build"]) rmSync(join(root, made), { recursive: true });
    const { code, output } = await start({ NODE_ENV: "production", npm_config_omit: "dev" });
    expect(output).toContain(INSTALLING);
    expect(output).toContain(BUILDING);
    expect(output).toContain(HUB);
    expect(code).toBe(0);
    expect(existsSync(join(root, "node_modules", "tested"))).toBe(false);
  });

  it("does neither again when all is fresh", async () => {
    expect((await start()).output.trim()).toBe(HUB);
  });

  it("builds again when a source has changed, and only then", async () => {
    write("shared/a.js", "2");
    const changed = await start();
    expect(changed.output).not.toContain(INSTALLING);
    expect(changed.output).toContain(BUILDING);
    expect((await start()).output.trim()).toBe(HUB);
  });

  it("says that the build failed, does not start an old hub, and heals", async () => {
    const good = readFileSync(join(root, "console", "source.js"), "utf8");
    write("console/source.js", "BROKEN");
    for (const _again of [1, 2]) {
      const { code, output } = await start();
      expect(code).toBe(1);
      expect(output).toContain("cannot build console");
      expect(output).toContain("The build failed");
      expect(output).not.toContain(HUB);
    }
    write("console/source.js", good);
    expect((await start()).output).toContain(HUB);
  });

  it("installs again when a package's folder is gone or the lock file has changed", async () => {
    rmSync(join(root, "node_modules", "vite"), { recursive: true });
    expect((await start()).output).toContain(INSTALLING);
    const lock = readFileSync(join(root, "package-lock.json"), "utf8");
    write("package-lock.json", `${lock}\n`);
    expect((await start()).output).toContain(INSTALLING);
    expect((await start()).output.trim()).toBe(HUB);
  });

  it("heals an install that was cut off before its end", async () => {
    rmSync(join(root, "node_modules", ".noonfall-install.json"));
    rmSync(join(root, "node_modules", ".package-lock.json"));
    const { output } = await start();
    expect(output).toContain(INSTALLING);
    expect(output).toContain(HUB);
  });

  it("takes packages that somebody installed by hand as they are", async () => {
    expect((await npm(["ci", "--offline", "--no-audit", "--no-fund"])).code).toBe(0);
    expect(existsSync(join(root, "node_modules", "tested"))).toBe(true);
    expect((await start()).output.trim()).toBe(HUB);
  });

  it("puts the packages back when the new ones cannot be had", async () => {
    const packed = join(root, "packed", "vite-1.0.0.tgz");
    const lock = readFileSync(join(root, "package-lock.json"), "utf8");
    const bytes = readFileSync(packed);
    // Another integrity, so that npm's cache cannot help, and no file: as good as no network.
    write("package-lock.json", lock.replaceAll(/"sha512-.{8}/g, '"sha512-AAAAAAAA'));
    rmSync(packed);
    const { code, output } = await start();
    expect(code).toBe(1);
    expect(output).toContain("could not be installed");
    expect(output).toContain("have been put back");
    expect(existsSync(join(root, "node_modules", "vite", "bin", "vite.js"))).toBe(true);
    write("package-lock.json", lock);
    writeFileSync(packed, bytes);
    expect((await start()).output).toContain(HUB);
  });

  it("goes on with the last complete packages after an install that was killed", async () => {
    const modules = join(root, "node_modules");
    mkdirSync(join(root, "build"), { recursive: true });
    renameSync(modules, join(root, "build", "node_modules.before"));
    mkdirSync(join(modules, "half"), { recursive: true });
    expect((await start()).output.trim()).toBe(HUB);
    expect(existsSync(join(modules, "half"))).toBe(false);
  });

  it("lets two starts at once set up one after the other", async () => {
    rmSync(join(root, "node_modules"), { recursive: true });
    rmSync(join(root, "build"), { recursive: true });
    const both = await Promise.all([start(), start()]);
    expect(both.map((one) => one.code)).toEqual([0, 0]);
    for (const { output } of both) expect(output).toContain(HUB);
    expect(both.filter(({ output }) => output.includes(INSTALLING))).toHaveLength(1);
    expect(both.filter(({ output }) => output.includes(BUILDING))).toHaveLength(1);
  });

  it("refuses another Node with a sentence and does nothing", async () => {
    const file = join(root, "package.json");
    const good = readFileSync(file, "utf8");
    writeFileSync(file, good.replace("^20.19 || ^22.12 || ^24", "^99.1"));
    const { code, output } = await start();
    expect(code).toBe(1);
    expect(output.trim()).toContain("Noonfall needs Node.js 99.1");
    expect(output).not.toContain(HUB);
    writeFileSync(file, good);
  });

  // npm runs its scripts through a shell, which ends on a signal without passing it on.
  it.runIf(process.platform !== "win32")("ends with the npm that started it", async () => {
    aHubThatStays();
    const script = JSON.stringify(join(root, "scripts", "start.mjs"));
    const shell = spawn("sh", ["-c", `"$0" ${script}; echo`, process.execPath], {
      cwd: root,
      stdio: "ignore",
      env: { ...process.env, NODE_ENV: undefined, npm_lifecycle_event: "start" },
    });
    await vi.waitFor(() => expect(existsSync(join(root, "pid"))).toBe(true), { timeout: 60_000 });
    const pid = Number(readFileSync(join(root, "pid"), "utf8"));
    try {
      expect(pid).not.toBe(shell.pid);
      shell.kill("SIGKILL");
      await vi.waitFor(() => expect(existsSync(join(root, "ended"))).toBe(true), { timeout: 30_000 });
      await vi.waitFor(() => expect(() => process.kill(pid, 0)).toThrow(/ESRCH/), { timeout: 30_000 });
    } finally {
      shell.kill("SIGKILL");
      if (!existsSync(join(root, "ended"))) process.kill(pid, "SIGKILL");
    }
  });

  // The real npm: some signals it hands on to its shell, of others it dies alone.
  it.runIf(process.platform === "linux").each(["SIGTERM", "SIGHUP", "SIGKILL"] as const)(
    "ends with the npm that started it, when that is ended by %s",
    async (signal) => {
      aHubThatStays();
      const npm = spawn("npm", ["start"], {
        cwd: root,
        stdio: "ignore",
        env: { ...process.env, NODE_ENV: undefined, npm_config_update_notifier: "false" },
      });
      let pid = 0;
      try {
        await vi.waitFor(() => expect(existsSync(join(root, "pid"))).toBe(true), { timeout: 60_000 });
        pid = Number(readFileSync(join(root, "pid"), "utf8"));
        expect(pid).toBeGreaterThan(1);
        // It stays for as long as npm does.
        await new Promise((resolve) => setTimeout(resolve, 1500));
        expect(existsSync(join(root, "ended"))).toBe(false);
        npm.kill(signal);
        await vi.waitFor(() => expect(existsSync(join(root, "ended"))).toBe(true), { timeout: 15_000 });
        await vi.waitFor(() => expect(() => process.kill(pid, 0)).toThrow(/ESRCH/), { timeout: 15_000 });
      } finally {
        npm.kill("SIGKILL");
        if (pid > 1 && !existsSync(join(root, "ended"))) process.kill(pid, "SIGKILL");
      }
    },
  );
});
