/** A sidecar on the disk: merged with the one that is there, and whole or not at all. */
import { existsSync } from "node:fs";
import { readFile, realpath, rename, rm, writeFile } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { type SidecarOf, sidecar } from "../../shared/images/take-away/sidecar.ts";

/** Throws SidecarError, or what the disk says. Gives whether there was one before. */
export async function writeSidecar(wanted: string, content: SidecarOf): Promise<"written" | "merged"> {
  const file = await itsPlace(wanted);
  const existing = await readFile(file, "utf8").catch((error: NodeJS.ErrnoException) => {
    if (error.code === "ENOENT") return null;
    throw error;
  });
  const text = sidecar(content, existing);
  // A name that nobody else's file has; where one has it all the same, nothing is written.
  const partial = join(dirname(file), `.${basename(file)}.${process.pid}.partial`);
  await writeFile(partial, text, { flag: "wx", flush: true });
  try {
    await rename(partial, file);
  } catch (error) {
    await rm(partial, { force: true });
    throw error;
  }
  return existing === null ? "written" : "merged";
}

/** Some programs write ".XMP"; a link leads to where the sidecar is kept. */
async function itsPlace(wanted: string): Promise<string> {
  const large = wanted.replace(/\.xmp$/, ".XMP");
  const name = !existsSync(wanted) && existsSync(large) ? large : wanted;
  return realpath(name).catch(() => name);
}
