/** A sidecar on the disk: merged with the one that is there, and whole or not at all. */
import { readFile, rename, rm, writeFile } from "node:fs/promises";
import { type SidecarOf, sidecar } from "../../shared/images/take-away/sidecar.ts";

/** Throws SidecarError, or what the disk says. Gives whether there was one before. */
export async function writeSidecar(file: string, content: SidecarOf): Promise<"written" | "merged"> {
  const existing = await readFile(file, "utf8").catch((error: NodeJS.ErrnoException) => {
    if (error.code === "ENOENT") return null;
    throw error;
  });
  const text = sidecar(content, existing);
  const partial = `${file}.partial`;
  try {
    await writeFile(partial, text, { flush: true });
    await rename(partial, file);
  } catch (error) {
    await rm(partial, { force: true });
    throw error;
  }
  return existing === null ? "written" : "merged";
}
