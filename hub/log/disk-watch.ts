/** Looks now and then how much room the disk of the site's folder has left. */

import { freeBytes } from "./disk-space.ts";
import type { HubHealth } from "./hub-health.ts";

/** A million reports take 340 MB; a day in the field some ten. Common practice, no source. */
const LOW_BYTES = 200e6;
/** The caution ends with some more than it began with, so that it does not come and go. */
const ENOUGH_BYTES = 250e6;
const LOOK_MS = 15_000;

export class DiskWatch {
  private timer: NodeJS.Timeout | undefined;

  constructor(
    private readonly folder: string,
    private readonly health: HubHealth,
    private readonly free: (folder: string) => Promise<number> = freeBytes,
  ) {}

  start(): void {
    void this.look();
    this.timer = setInterval(() => void this.look(), LOOK_MS).unref();
  }

  async look(): Promise<void> {
    const bytes = await this.free(this.folder);
    if (bytes < LOW_BYTES) this.health.raise("disk-low");
    else if (bytes >= ENOUGH_BYTES) this.health.clear("disk-low");
  }

  stop(): void {
    clearInterval(this.timer);
  }
}
