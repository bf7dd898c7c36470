/** Who is linked now, by rig. Chatter: never logged. */
import type { Pulse } from "../../shared/protocol/messages.ts";
import type { LinkedDevice, Presence } from "../../shared/run/views/presence.ts";
import type { UtcMs } from "../../shared/time/instants.ts";

interface Entry extends LinkedDevice {
  rigIds: readonly string[];
}

export class PresenceBook {
  private readonly bySocket = new Map<string, Entry>();
  private cached: Presence | null = null;

  /** `noisyRigs`: rigs whose link sends far too much. */
  constructor(private readonly noisyRigs: () => readonly string[] = () => []) {}

  join(
    socketId: string,
    device: { deviceId: string; label: string; rigIds: readonly string[]; agent?: true },
    now: UtcMs,
  ): void {
    this.bySocket.set(socketId, {
      ...device,
      boundMs: null,
      utcBoundMs: null,
      armed: false,
      sinceUtcMs: now,
    });
    this.cached = null;
  }

  pulse(socketId: string, pulse: Pulse): void {
    const entry = this.bySocket.get(socketId);
    if (!entry) return;
    this.bySocket.set(socketId, {
      ...entry,
      boundMs: pulse.boundMs,
      utcBoundMs: pulse.utcBoundMs,
      armed: pulse.armed,
    });
    this.cached = null;
  }

  leave(socketId: string): void {
    if (this.bySocket.delete(socketId)) this.cached = null;
  }

  /** How many sockets speak for a rig. */
  socketsOf(rigId: string): number {
    let count = 0;
    for (const { rigIds } of this.bySocket.values()) if (rigIds.includes(rigId)) count++;
    return count;
  }

  /** The same object until something has changed. */
  get(): Presence {
    const noisy = this.noisyRigs();
    if (this.cached && sameList(noisy, this.cached.noisy ?? [])) return this.cached;
    const rigs = new Map<string, LinkedDevice[]>();
    for (const { rigIds, ...device } of this.bySocket.values()) {
      for (const rigId of rigIds) {
        const list = rigs.get(rigId) ?? [];
        rigs.set(rigId, list);
        if (!list.some((other) => other.deviceId === device.deviceId)) list.push(device);
      }
    }
    this.cached = { rigs: Object.fromEntries(rigs), ...(noisy.length > 0 && { noisy }) };
    return this.cached;
  }
}

function sameList(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.every((one, index) => one === b[index]);
}
