import type { UtcMs } from "../../time/instants.ts";

/** What the hub knows of who is connected; never logged. */
export interface Presence {
  /** By rig: the devices linked now. */
  rigs: Readonly<Record<string, readonly LinkedDevice[]>>;
  /** Rigs whose link sends far more than any person does; missing when there is none. */
  noisy?: readonly string[];
}

export interface LinkedDevice {
  deviceId: string;
  label: string;
  boundMs: number | null;
  utcBoundMs: number | null;
  /** Cues and clock are followed without the hub, if need be. */
  armed: boolean;
  /** A program that reads instruments: nobody is told anything by it. */
  agent?: true;
  sinceUtcMs: UtcMs;
}

export const NOBODY: Presence = { rigs: {} };
