/**
 * One agent a link on this machine: two would count on from one file. The lock holds the number of the
 * process that has it; one left by a process that was killed is taken over.
 */
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import { UsageError } from "../options.ts";

/** Gives what releases it again. Throws UsageError while another process has it. */
export function lockLink(file: string, rigId: string): () => void {
  mkdirSync(dirname(file), { recursive: true });
  for (let attempt = 0; attempt < 3; attempt++) {
    try {
      writeFileSync(file, String(process.pid), { flag: "wx" });
      return () => rmSync(file, { force: true });
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== "EEXIST") return () => undefined;
    }
    if (lives(Number(readText(file))))
      throw new UsageError(`Another agent here serves rig ${rigId} already.`);
    rmSync(file, { force: true });
  }
  return () => undefined;
}

function readText(file: string): string {
  try {
    return readFileSync(file, "utf8");
  } catch {
    return "";
  }
}

function lives(pid: number): boolean {
  if (!Number.isSafeInteger(pid) || pid <= 0 || pid === process.pid) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}
