/** Files of this browser, which lends them as long as the page is open, as headers are read from them. */
import type { Stamp } from "../../../shared/images/headers/file-headers.ts";
import { type ByteSource, readHeaders } from "../../../shared/images/headers/read-headers.ts";

export function sourceOfFile(file: File): ByteSource {
  return {
    size: file.size,
    read: async (offset, length) => new Uint8Array(await file.slice(offset, offset + length).arrayBuffer()),
  };
}

/** When a file says that it was taken; null where it says nothing or cannot be read. Never rejects. */
export async function stampOf(file: File): Promise<Stamp | null> {
  try {
    return (await readHeaders(sourceOfFile(file))).stamp;
  } catch {
    return null;
  }
}
