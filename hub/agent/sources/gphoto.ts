/**
 * gphoto2 as a program beside this one: only what reads, by a list; bounded in time and in what it may say.
 * Its answers are in English whatever the machine speaks, and what a camera's clock shows is taken for UTC.
 */
import { spawn } from "node:child_process";

/** Every action of gphoto2 that this program ever asks for. None takes a picture, sets, moves or deletes. */
export const GPHOTO_ACTIONS: readonly string[] = [
  "--auto-detect",
  "--storage-info",
  "--list-files",
  "--list-config",
  "--get-config",
];

const WAIT_MS = 15_000;
const OUTPUT_MOST = 400_000;

export type Asked =
  | { ok: true; text: string }
  | { ok: false; why: "not installed" | "too slow" | "too much" | "failed"; text: string };

/** @param address as gphoto2 writes it; null for whatever it finds itself */
export function askGphoto(
  address: string | null,
  actions: readonly (readonly [string, ...string[]])[],
  {
    waitMs = WAIT_MS,
    program = "gphoto2",
    signal,
  }: { waitMs?: number; program?: string; signal?: AbortSignal } = {},
): Promise<Asked> {
  for (const [action] of actions)
    if (!GPHOTO_ACTIONS.includes(action))
      throw new Error(`a camera that is only read is never asked for ${action}`);
  const port = address === null ? [] : ["--port", address];
  // A camera in the network does not say by itself what it is.
  const model = address?.startsWith("ptpip:") ? ["--camera", "PTP/IP Camera"] : [];
  return new Promise((resolve) => {
    const child = spawn(program, [...port, ...model, ...actions.flat()], {
      stdio: ["ignore", "pipe", "pipe"],
      env: { ...process.env, LC_ALL: "C", LANGUAGE: "C", TZ: "UTC" },
      windowsHide: true,
    });
    let text = "";
    let why: "too slow" | "too much" | null = null;
    const end = (reason: typeof why): void => {
      why ??= reason;
      child.kill("SIGTERM");
      setTimeout(() => child.kill("SIGKILL"), 2000).unref();
    };
    const timer = setTimeout(() => end("too slow"), waitMs);
    const stop = (): void => end("too slow");
    signal?.addEventListener("abort", stop, { once: true });
    const done = (asked: Asked): void => {
      clearTimeout(timer);
      signal?.removeEventListener("abort", stop);
      resolve(asked);
    };
    for (const stream of [child.stdout, child.stderr])
      stream.on("data", (chunk: Buffer) => {
        text += chunk.toString("utf8");
        if (text.length > OUTPUT_MOST) end("too much");
      });
    child.on("error", (error: NodeJS.ErrnoException) =>
      done({ ok: false, why: error.code === "ENOENT" ? "not installed" : "failed", text: error.message }),
    );
    child.on("close", (code) => {
      if (why) done({ ok: false, why, text });
      else if (code === 0) done({ ok: true, text });
      else done({ ok: false, why: "failed", text });
    });
  });
}
