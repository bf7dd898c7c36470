/** The images and videos of a folder and all below it, by their endings, in order of their names. */
import { readdirSync, statSync } from "node:fs";
import { join, resolve } from "node:path";
import { isMediaName } from "../../shared/images/headers/media-names.ts";
import { AfterError } from "./options.ts";

/** A card holds some ten thousand; more is a whole disk, chosen by mistake. */
const MOST_FILES = 200_000;

/** Throws AfterError where there is no such folder. A file that is named itself counts, too. */
export function findFiles(folders: readonly string[]): string[] {
  const found = new Map<string, string>();
  for (const folder of folders) {
    const at = statSync(folder, { throwIfNoEntry: false });
    if (!at) throw new AfterError(`FOLDER: there is no ${folder}.`);
    if (at.isFile()) found.set(resolve(folder), folder);
    else if (at.isDirectory()) walk(folder, found);
    else throw new AfterError(`FOLDER: ${folder} is neither a folder nor a file.`);
  }
  return [...found.values()].sort();
}

/**
 * A link to a file is that file under a name of its own, as people choose their best frames. Links to
 * folders are not followed: they may lead round in a ring.
 * @param found by where they lie, however their folders were written.
 */
function walk(folder: string, found: Map<string, string>): void {
  const entries = (() => {
    try {
      return readdirSync(folder, { withFileTypes: true });
    } catch (cause) {
      throw new AfterError(`FOLDER: ${folder} cannot be read (${(cause as NodeJS.ErrnoException).code}).`);
    }
  })();
  for (const entry of entries) {
    if (entry.name.startsWith(".")) continue;
    const path = join(folder, entry.name);
    if (entry.isDirectory()) walk(path, found);
    else if (isMediaName(entry.name) && (entry.isFile() || (entry.isSymbolicLink() && !isOther(path))))
      found.set(resolve(path), path);
    if (found.size > MOST_FILES)
      throw new AfterError(`FOLDER: more than ${MOST_FILES} files below ${folder}.`);
  }
}

/** Where a link leads to a folder, a pipe or a device; one that leads nowhere cannot be read, and is told so. */
function isOther(link: string): boolean {
  return statSync(link, { throwIfNoEntry: false })?.isFile() === false;
}
