/** A database as the files it lies in: beside it, SQLite keeps its write-ahead log and more. */
import { closeSync, existsSync, fsyncSync, openSync, renameSync, rmSync } from "node:fs";

/** With its write-ahead log; the shared memory is made anew. Nothing is done where nothing lies. */
export function moveDatabase(from: string, to: string): void {
  for (const ending of ["", "-wal"]) if (existsSync(from + ending)) renameSync(from + ending, to + ending);
  rmSync(`${from}-shm`, { force: true });
}

export function removeDatabase(file: string): void {
  for (const ending of ["", "-wal", "-shm", "-journal"]) rmSync(file + ending, { force: true });
}

/** Returns when the file is on the disk. */
export function syncFile(file: string): void {
  const handle = openSync(file, "r+");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** An instant (ISO 8601) as part of a file's name. */
export function fileStamp(iso: string = new Date().toISOString()): string {
  return iso.replace(/[:.]/g, "-");
}
