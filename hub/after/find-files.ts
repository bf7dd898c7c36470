/** The images and videos of a folder and all below it, by their endings, in order of their names. */
import { readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { isMediaName } from "../../shared/images/headers/media-names.ts";
import { AfterError } from "./options.ts";

/** A card holds some ten thousand; more is a whole disk, chosen by mistake. */
const MOST_FILES = 200_000;

/** Throws AfterError where there is no such folder. A file that is named itself counts, too. */
export function findFiles(folders: readonly string[]): string[] {
  const found = new Set<string>();
  for (const folder of folders) {
    const at = statSync(folder, { throwIfNoEntry: false });
    if (!at) throw new AfterError(`FOLDER: there is no ${folder}.`);
    if (at.isFile()) found.add(folder);
    else walk(folder, found);
  }
  return [...found].sort();
}

/** Links are not followed: they may lead round in a ring. */
function walk(folder: string, found: Set<string>): void {
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
    else if (entry.isFile() && isMediaName(entry.name)) found.add(path);
    if (found.size > MOST_FILES)
      throw new AfterError(`FOLDER: more than ${MOST_FILES} files below ${folder}.`);
  }
}
