/**
 * Long work on whole database files, done in a process of its own: the hub, which is one thread,
 * goes on for everybody meanwhile, its memory stays what it was, and a file that was made to crash
 * or choke its reader takes only that process with it.
 */
import { execFile } from "node:child_process";
import { fileURLToPath } from "node:url";
import { LogError, type LogErrorCode } from "./event-log.ts";
import type { SiteFileSummary } from "./site-check.ts";

export interface FileTasks {
  /** Checks a copy of our own, tries it out and makes it ready to be a hub's site. */
  prepare: { given: { file: string }; gives: SiteFileSummary };
  /** Copies a database, as it is at one instant, to a new file without what is local; verifies that. */
  copy: { given: { from: string; to: string }; gives: SiteFileSummary };
  /** What is wrong inside a file; null when nothing is. */
  damage: { given: { file: string }; gives: string | null };
}

export type FileAnswer<Task extends keyof FileTasks> =
  | { ok: true; value: FileTasks[Task]["gives"] }
  | { ok: false; code: LogErrorCode; message: string };

const LIMIT_MS = 10 * 60_000;
/** Heap of that process: what is larger is no site. */
const HEAP_MB = 160;

/** Rejects with LogError; work that ends without an answer is "corrupt". */
export function fileWork<Task extends keyof FileTasks>(
  task: Task,
  given: FileTasks[Task]["given"],
  { limitMs = LIMIT_MS, signal }: { limitMs?: number; signal?: AbortSignal | undefined } = {},
): Promise<FileTasks[Task]["gives"]> {
  return new Promise((resolve, reject) => {
    const args = [`--max-old-space-size=${HEAP_MB}`, ...program(), task, JSON.stringify(given)];
    const options = { timeout: limitMs, killSignal: "SIGKILL", windowsHide: true, signal } as const;
    execFile(process.execPath, args, options, (error, out) => {
      const answer = readAnswer<Task>(out);
      if (answer?.ok) resolve(answer.value);
      else if (answer) reject(new LogError(answer.code, answer.message));
      else {
        const file = "from" in given ? given.from : given.file;
        const code = signal?.aborted ? "unwritable" : "corrupt";
        const why = signal?.aborted
          ? "was given up"
          : error?.killed
            ? "took too long"
            : "ended before it was done";
        reject(new LogError(code, `${file} cannot be read: looking it over ${why}.`, { cause: error }));
      }
    });
  });
}

/** Built, it lies beside the hub; from the sources it needs the loader for TypeScript. */
function program(): string[] {
  const here = import.meta.url;
  return here.endsWith(".ts")
    ? ["--import", "tsx", fileURLToPath(new URL("file-work-main.ts", here))]
    : [fileURLToPath(new URL("file-work-main.js", here))];
}

function readAnswer<Task extends keyof FileTasks>(out: string): FileAnswer<Task> | undefined {
  try {
    return JSON.parse(out) as FileAnswer<Task>;
  } catch {
    return undefined;
  }
}
