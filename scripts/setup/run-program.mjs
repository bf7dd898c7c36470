/**
 * Runs a program and waits for it: never through a shell (except npm on a Windows where its own
 * script cannot be found), never longer than it is given.
 */
import { spawn, spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { dirname, join } from "node:path";

/**
 * @typedef {{cwd?: string, env?: NodeJS.ProcessEnv, timeoutMs?: number, quiet?: boolean, onInterrupt?: () => void}} RunOptions
 * `quiet` keeps the output and returns it instead of showing it. Ctrl-C ends the program and then
 * us; `onInterrupt` tidies up in between.
 */

/**
 * Resolves with the exit code (128 + signal number style codes become 1), the output when quiet,
 * and whether it had to be stopped. Never rejects: a program that cannot be started gives 127.
 * @param {string} command @param {string[]} args @param {RunOptions & {shell?: boolean}} [options]
 * @returns {Promise<{code: number, output: string, timedOut: boolean}>}
 */
export function runProgram(command, args, options = {}) {
  const windows = process.platform === "win32";
  return new Promise((resolve) => {
    const child = spawn(command, args, {
      cwd: options.cwd,
      env: options.env || process.env,
      shell: options.shell || false,
      windowsHide: true,
      // A group of its own, so that what it started ends with it.
      detached: !windows,
      stdio: ["ignore", options.quiet ? "pipe" : "inherit", options.quiet ? "pipe" : "inherit"],
    });
    let output = "";
    let timedOut = false;
    let interrupted = false;
    const keep = (/** @type {Buffer} */ chunk) => {
      output += chunk.toString();
    };
    child.stdout?.on("data", keep);
    child.stderr?.on("data", keep);

    const stop = (/** @type {NodeJS.Signals} */ signal) => {
      if (child.pid === undefined) return;
      if (windows) {
        spawnSync("taskkill", ["/pid", String(child.pid), "/T", "/F"], { windowsHide: true });
        return;
      }
      try {
        process.kill(-child.pid, signal);
      } catch {
        // It has ended already.
      }
    };
    const onSignal = () => {
      interrupted = true;
      stop("SIGTERM");
      setTimeout(() => stop("SIGKILL"), 5000).unref();
    };
    process.on("SIGINT", onSignal);
    process.on("SIGTERM", onSignal);
    process.on("SIGHUP", onSignal);
    const timer =
      options.timeoutMs === undefined
        ? undefined
        : setTimeout(() => {
            timedOut = true;
            stop("SIGTERM");
            setTimeout(() => stop("SIGKILL"), 5000).unref();
          }, options.timeoutMs);

    let settled = false;
    const finish = (/** @type {number} */ code) => {
      if (settled) return;
      settled = true;
      clearTimeout(timer);
      process.off("SIGINT", onSignal);
      process.off("SIGTERM", onSignal);
      process.off("SIGHUP", onSignal);
      // What it left running in its group must not outlive it.
      stop("SIGKILL");
      if (interrupted) {
        options.onInterrupt?.();
        process.exit(130);
      }
      resolve({ code, output, timedOut });
    };
    child.on("error", () => finish(127));
    // "exit", not "close": a leftover that holds the pipes open must not hang us.
    child.on("exit", (code) => setTimeout(() => finish(timedOut ? 1 : (code ?? 1)), options.quiet ? 100 : 0));
  });
}

/**
 * Runs npm with the Node that runs us. @param {string[]} args @param {RunOptions} [options]
 */
export function runNpm(args, options = {}) {
  const script = npmScript();
  if (script) return runProgram(process.execPath, [script, ...args], options);
  return runProgram("npm", args, { ...options, shell: process.platform === "win32" });
}

/** Where npm's own script is, if it can be told. @returns {string | undefined} */
function npmScript() {
  const named = process.env.npm_execpath;
  if (named && /npm-cli\.[cm]?js$/.test(named) && existsSync(named)) return named;
  const bin = dirname(process.execPath);
  const places = [
    join(bin, "node_modules", "npm", "bin", "npm-cli.js"),
    join(bin, "..", "lib", "node_modules", "npm", "bin", "npm-cli.js"),
    join(bin, "..", "share", "nodejs", "npm", "bin", "npm-cli.js"),
  ];
  return places.find((place) => existsSync(place));
}
