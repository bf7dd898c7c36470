/** The copies of a site that there are, for the sentence that offers them when the site itself is of no use. */
import { existsSync, readdirSync, statSync } from "node:fs";
import { basename, isAbsolute, join } from "node:path";
import { isBackupName } from "./backups.ts";

interface Copy {
  /** What `--restore` takes. */
  name: string;
  file: string;
  bytes: number;
  changedUtcMs: number;
}

const MOST_NAMED = 8;

/** Newest first: what restores and migrations left in the folder, and backups at their place. */
export function copiesOf(folder: string, siteName: string, backupDir?: string): Copy[] {
  const kept = filesIn(folder).filter((name) => /^(before|refused|found)-.*\.db$/.test(name));
  const backups = backupDir ? filesIn(backupDir).filter((name) => isBackupName(name, siteName)) : [];
  return [...kept.map((name) => join(folder, name)), ...backups.map((name) => join(backupDir ?? "", name))]
    .flatMap((file) => {
      try {
        const { size, mtimeMs } = statSync(file);
        return size > 0 ? [{ name: basename(file), file, bytes: size, changedUtcMs: mtimeMs }] : [];
      } catch {
        return [];
      }
    })
    .sort((a, b) => b.changedUtcMs - a.changedUtcMs);
}

/** What can be done, for the person at the laptop. */
export function copiesSentence(copies: readonly Copy[]): string {
  const [first] = copies;
  if (!first) {
    return "There is no copy of it here. With --backup DIR, or --restore FILE, name a place where there is one.";
  }
  const named = copies.slice(0, MOST_NAMED).map(({ name, bytes, changedUtcMs }) => {
    const when = new Date(changedUtcMs).toISOString().slice(0, 16).replace("T", " ");
    return `  ${name}   ${when} UTC, ${(bytes / 1e6).toFixed(1)} MB`;
  });
  return ["Copies there are:", ...named, `To go on with one: npm start -- --restore ${first.name}`].join(
    "\n",
  );
}

/** The file that a name stands for: one of the copies, or any file by its path; undefined when there is none. */
export function findCopy(name: string, copies: readonly Copy[]): string | undefined {
  const known = copies.find((copy) => copy.name === name);
  if (known) return known.file;
  return (isAbsolute(name) || /[\\/]/.test(name)) && existsSync(name) ? name : undefined;
}

function filesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}
