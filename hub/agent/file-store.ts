/**
 * What an agent keeps over its end, in one small file per rig: its name as a device, what waits for the
 * hub, and what its instruments count on from (frames since it joined). The site itself is fetched anew.
 * Written whole to a second file and renamed, so that an agent killed at any instant finds one or the
 * other. A file that cannot be read is put aside and said; one that cannot be written costs nothing but
 * what a restart would know.
 */
import { mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import type { QueuedFact, SavedSession, StorePort } from "../../shared/link/session-types.ts";
import { newId } from "../new-id.ts";

interface Kept {
  v: 1;
  deviceId: string;
  clock: unknown;
  outbox: QueuedFact[];
  nextDeviceSeq: number;
  /** By instrument, as each wants it back. */
  memory: Record<string, unknown>;
}

export class FileStore implements StorePort {
  private readonly kept: Kept;
  private failing = false;

  constructor(
    private readonly file: string,
    private readonly tell: (line: string) => void,
  ) {
    this.kept = this.read() ?? {
      v: 1,
      deviceId: newId(),
      clock: null,
      outbox: [],
      nextDeviceSeq: 0,
      memory: {},
    };
  }

  memory(name: string): unknown {
    return Object.hasOwn(this.kept.memory, name) ? this.kept.memory[name] : undefined;
  }

  remember(name: string, value: unknown): void {
    if (JSON.stringify(this.kept.memory[name]) === JSON.stringify(value)) return;
    this.kept.memory[name] = value;
    this.write();
  }

  async load(): Promise<SavedSession> {
    const { deviceId, clock, outbox } = this.kept;
    this.write();
    return { deviceId, state: null, clock, outbox: [...outbox], rejected: [] };
  }

  /** Large, and the hub has it: an agent that was away asks for it. */
  async saveState(): Promise<void> {}

  async saveClock(saved: unknown): Promise<void> {
    this.kept.clock = saved;
    this.write();
  }

  async queue(item: QueuedFact): Promise<number> {
    const deviceSeq = Math.max(this.kept.nextDeviceSeq, item.fact.deviceSeq);
    this.kept.outbox.push({ ...item, fact: { ...item.fact, deviceSeq } });
    this.kept.nextDeviceSeq = deviceSeq + 1;
    this.write();
    return deviceSeq;
  }

  async waiting(): Promise<QueuedFact[]> {
    return [...this.kept.outbox];
  }

  async unqueue(id: string): Promise<void> {
    this.kept.outbox = this.kept.outbox.filter((item) => item.id !== id);
    this.write();
  }

  /** What the hub refused is kept by the session while it lives, and shown to nobody here. */
  reject(item: QueuedFact): Promise<void> {
    return this.unqueue(item.id);
  }

  private read(): Kept | null {
    let text: string;
    try {
      text = readFileSync(this.file, "utf8");
    } catch {
      return null;
    }
    try {
      const kept = JSON.parse(text) as Kept;
      const whole =
        kept?.v === 1 &&
        typeof kept.deviceId === "string" &&
        Array.isArray(kept.outbox) &&
        Number.isSafeInteger(kept.nextDeviceSeq) &&
        typeof kept.memory === "object" &&
        kept.memory !== null;
      if (whole) return kept;
    } catch {
      // Not ours, or torn: as below.
    }
    renameSync(this.file, `${this.file}.unreadable`);
    this.tell(`${this.file} could not be read; it is put aside as ${this.file}.unreadable.`);
    return null;
  }

  private write(): void {
    try {
      mkdirSync(dirname(this.file), { recursive: true });
      writeFileSync(`${this.file}.new`, JSON.stringify(this.kept), { mode: 0o600 });
      renameSync(`${this.file}.new`, this.file);
      this.failing = false;
    } catch (error) {
      if (!this.failing)
        this.tell(
          `${this.file} cannot be written (${(error as NodeJS.ErrnoException).code}); going on without.`,
        );
      this.failing = true;
    }
  }
}
