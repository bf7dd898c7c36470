/** How much room a folder's disk has left. */
import { statfs } from "node:fs/promises";

/** Bytes that this program may still write there; infinite where the system does not tell. */
export async function freeBytes(folder: string): Promise<number> {
  try {
    const { bavail, bsize } = await statfs(folder);
    return bavail * bsize;
  } catch {
    return Number.POSITIVE_INFINITY;
  }
}
