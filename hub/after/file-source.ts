/** A file of this machine as headers are read from it. */
import { open } from "node:fs/promises";
import type { ByteSource } from "../../shared/images/headers/read-headers.ts";

export async function withFile<Result>(
  path: string,
  use: (source: ByteSource) => Promise<Result>,
): Promise<Result> {
  const file = await open(path, "r");
  try {
    const { size } = await file.stat();
    return await use({
      size,
      async read(offset, length) {
        const bytes = new Uint8Array(length);
        const { bytesRead } = await file.read(bytes, 0, length, offset);
        return bytes.subarray(0, bytesRead);
      },
    });
  } finally {
    await file.close();
  }
}
