/**
 * The files that were chosen in this page: they stay where they are, and the browser lends them as long as
 * the page is open. Sidecars among them are kept apart, to be merged with.
 */
import type { Embedded } from "../../../../shared/images/headers/file-headers.ts";
import { isMediaName } from "../../../../shared/images/headers/media-names.ts";

export interface ChosenFile {
  path: string;
  file: File;
}

export interface OpenFile {
  file: File;
  thumbnail: Embedded | null;
}

export interface Chosen {
  media: ChosenFile[];
  sidecars: ChosenFile[];
}

/**
 * Of a list that a file input or a drop gave. The chosen folder's own name is part of the path: two cards
 * of one rig have the same names below it.
 */
export function sortOut(files: Iterable<File>): Chosen {
  const chosen: Chosen = { media: [], sidecars: [] };
  for (const file of files) {
    sort(chosen, file.webkitRelativePath || file.name, file);
  }
  chosen.media.sort((a, b) => (a.path < b.path ? -1 : 1));
  return chosen;
}

function sort(chosen: Chosen, path: string, file: File): void {
  if (isMediaName(file.name)) chosen.media.push({ path, file });
  else if (/\.xmp$/i.test(file.name)) chosen.sidecars.push({ path, file });
}

/** What was dropped, folders and all below them (File and Directory Entries API). */
export async function dropped(transfer: DataTransfer): Promise<Chosen> {
  const roots = [...transfer.items].flatMap((item) => item.webkitGetAsEntry() ?? []);
  const chosen: Chosen = { media: [], sidecars: [] };
  for (const root of roots) await walk(root, chosen);
  chosen.media.sort((a, b) => (a.path < b.path ? -1 : 1));
  return chosen;
}

async function walk(entry: FileSystemEntry, chosen: Chosen): Promise<void> {
  if (entry.name.startsWith(".")) return;
  if (entry.isFile) {
    const file = await new Promise<File>((resolve, reject) =>
      (entry as FileSystemFileEntry).file(resolve, reject),
    );
    sort(chosen, entry.fullPath.replace(/^\//, ""), file);
    return;
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  // A reader gives some at a time; an empty list is its end.
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) =>
      reader.readEntries(resolve, reject),
    );
    if (some.length === 0) return;
    for (const one of some) await walk(one, chosen);
  }
}
