/** The process that file-work.ts starts: one task, one line of JSON as its answer. */
import { setPriority } from "node:os";
import { LogError } from "./event-log.ts";
import type { FileAnswer, FileTasks } from "./file-work.ts";
import { damageOf } from "./site-check.ts";
import { copySite, prepareSite } from "./site-prepare.ts";

const TASKS: { [Task in keyof FileTasks]: (given: FileTasks[Task]["given"]) => unknown } = {
  prepare: ({ file }) => prepareSite(file),
  copy: ({ from, to }) => copySite(from, to),
  damage: ({ file }) => damageOf(file),
};

try {
  // Where there are few processors, the hub comes first.
  setPriority(10);
} catch {
  // Not allowed here: it works at the usual priority.
}

async function answer(): Promise<FileAnswer<keyof FileTasks>> {
  const [task, given] = process.argv.slice(2);
  try {
    const work = TASKS[task as keyof FileTasks] as (given: unknown) => never;
    return { ok: true, value: await work(JSON.parse(given ?? "")) };
  } catch (error) {
    if (!(error instanceof LogError)) throw error;
    return { ok: false, code: error.code, message: error.message };
  }
}

process.stdout.write(JSON.stringify(await answer()));
