/**
 * The devices' own clocks as witnesses of the hub's: who was heard when, and which of them a lead has
 * set aside. What they amount to, shared/sync/witnesses.ts says. Pure but for its state.
 *
 * A witness is kept as its own clock against the hub's monotonic one, so that a correction of the
 * eclipse clock is seen against every witness at once. It is heard for two minutes, also when its
 * phone has left: a poor link must not raise and clear a doubt by turns.
 */
import {
  standingOf,
  type Witness,
  type WitnessBench,
  type WitnessStanding,
} from "../../shared/sync/witnesses.ts";
import { CRYSTAL_PPM } from "./ports.ts";

/** A witness not heard for this long is none, ms. */
const WITNESS_MS = 120_000;
/** Set aside, a device is counted again when its clock has moved by more than this, ms. */
const ASIDE_ENDS_MS = 5000;

/** The hub's clocks at one instant: monotonic, and eclipse clock − monotonic, ms. */
export interface Now {
  mono: number;
  utcMinusMono: number;
}

/** A device that a lead does not count, and what its clock said then against the eclipse clock, ms. */
interface Aside {
  deviceId: string;
  label: string;
  offsetMs: number;
}

/** A row for the clock screen. */
export interface WitnessStatus {
  deviceId: string;
  /** What kind of device, as it said; may be empty. */
  label: string;
  /** Its own clock − the eclipse clock, ms; of one set aside and silent, as it was then. */
  offsetMs: number;
  /** How well that is measured, ms; null of one that is silent. */
  boundMs: number | null;
  /** Since it was heard, s; null of one that is silent. */
  ageS: number | null;
  standing: WitnessStanding;
}

interface Heard {
  label: string;
  /** Its own clock − the hub's monotonic clock, ms. */
  ownMinusMono: number;
  boundMs: number;
  atMono: number;
}

export class WitnessBox {
  private readonly heard = new Map<string, Heard>();
  private readonly asides: Map<string, Aside>;

  constructor(saved: readonly Aside[] = []) {
    this.asides = new Map(saved.map((aside) => [aside.deviceId, aside]));
  }

  /** A device's clock − the eclipse clock; gives what was set aside when that has ended by it. */
  hear(witness: Witness, label: string, now: Now): Aside | null {
    const { deviceId, offsetMs, boundMs } = witness;
    const ownMinusMono = offsetMs + now.utcMinusMono;
    this.heard.set(deviceId, { label, ownMinusMono, boundMs, atMono: now.mono });
    const aside = this.asides.get(deviceId);
    if (!aside || Math.abs(offsetMs - aside.offsetMs) - Math.max(0, boundMs) <= ASIDE_ENDS_MS) return null;
    this.asides.delete(deviceId);
    return aside;
  }

  /** What was set aside; null when nobody has heard of the device. */
  setAside(deviceId: string, now: Now): Aside | null {
    const heard = this.heard.get(deviceId);
    if (!heard) return this.asides.get(deviceId) ?? null;
    const aside = { deviceId, label: heard.label, offsetMs: heard.ownMinusMono - now.utcMinusMono };
    this.asides.set(deviceId, aside);
    return aside;
  }

  /** Whether the device is known; from now on it counts. */
  countAgain(deviceId: string): boolean {
    return this.asides.delete(deviceId) || this.heard.has(deviceId);
  }

  look(now: Now): WitnessBench {
    for (const [id, { atMono }] of this.heard) if (now.mono - atMono > WITNESS_MS) this.heard.delete(id);
    const all = [...this.heard].map(([deviceId, w]) => ({
      deviceId,
      offsetMs: w.ownMinusMono - now.utcMinusMono,
      boundMs: w.boundMs + (now.mono - w.atMono) * CRYSTAL_PPM * 1e-6,
    }));
    return standingOf(all, new Set(this.asides.keys()));
  }

  /** A row for every device heard or set aside, those against the hub first. */
  table(now: Now, { devices }: WitnessBench): WitnessStatus[] {
    const rows: WitnessStatus[] = devices.map((w) => {
      const heard = this.heard.get(w.deviceId);
      return { ...w, label: heard?.label ?? "", ageS: heard ? (now.mono - heard.atMono) / 1000 : null };
    });
    for (const aside of this.asides.values())
      if (!rows.some((row) => row.deviceId === aside.deviceId))
        rows.push({ ...aside, boundMs: null, ageS: null, standing: "set aside" });
    return rows.sort(
      (a, b) =>
        RANK[a.standing] - RANK[b.standing] ||
        Math.abs(b.offsetMs) - Math.abs(a.offsetMs) ||
        (a.deviceId < b.deviceId ? -1 : 1),
    );
  }

  /** The machine slept: what was heard before is against a clock that stood still. */
  machineSlept(): void {
    this.heard.clear();
  }

  save(): Aside[] {
    return [...this.asides.values()];
  }
}

const RANK: Record<WitnessStanding, number> = { disagrees: 0, "set aside": 1, outvoted: 2, agrees: 3 };
