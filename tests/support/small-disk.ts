/** A small disk of its own for a test: a tmpfs, mounted as root, that fills, goes away and comes back. */
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export interface SmallDisk {
  folder: string;
  /** Takes it out, as a card is taken out: its folder stays, empty. Idempotent. */
  takeOut(): void;
  /** Puts another, empty one in. */
  putIn(): void;
  /** Takes it out and removes its folder. */
  end(): void;
}

/** Throws where the test may not mount: it needs root on Linux, as in the container that `npm test` runs in. */
export function smallDisk(megabytes: number): SmallDisk {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-disk-"));
  let isIn = false;
  const disk: SmallDisk = {
    folder,
    takeOut() {
      // Lazily: a listing may be under way.
      if (isIn) execFileSync("umount", ["-l", folder]);
      isIn = false;
    },
    putIn() {
      try {
        execFileSync("mount", ["-t", "tmpfs", "-o", `size=${megabytes}m`, "noonfall-test", folder], {
          stdio: "pipe",
        });
      } catch (cause) {
        throw new Error("a small tmpfs cannot be mounted here: run this test as root on Linux", { cause });
      }
      isIn = true;
    },
    end() {
      disk.takeOut();
      rmSync(folder, { recursive: true, force: true });
    },
  };
  disk.putIn();
  return disk;
}
