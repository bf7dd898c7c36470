/**
 * Where this phone is, as far as its owner lets the page know: asked for once, inside the tap that
 * arms the phone, then looked at again by itself while the page is shown. Kept on this phone only,
 * in IndexedDB; no message carries it. Whoever says no, or has no receiver or no secure page,
 * loses nothing: no position is no doubt (S5), and nobody is asked a second time. A "yes" for one
 * visit only (browsers offer that) is asked for again at the next arming.
 *
 * Single looks instead of a standing watch, which would keep the receiver running all day.
 */
import type { SiteState } from "../../../shared/run/state.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { type BrowserStore, inTime } from "../../link/browser-store.ts";
import { prefs } from "../device/prefs.ts";
import { type Fix, fixCounts, isElsewhere, metresAway, USEFUL_BOUND_M } from "./elsewhere.ts";
import type { OwnPlace } from "./own-place.ts";

export interface PositionPorts {
  store: Pick<BrowserStore, "get" | "set">;
  now: () => UtcMs;
  /** Null where a page may not know it: plain http, or no receiver. */
  geolocation: Pick<Geolocation, "getCurrentPosition"> | null;
  /** Without asking anybody; null where the browser does not say. */
  permission: () => Promise<PermissionState | null>;
  /** Armed once on this phone: its owner has been asked. */
  wasArmed: () => boolean;
  shown: () => boolean;
  /** Tells whenever the page is shown again. */
  onShown: (listener: () => void) => () => void;
}

/** What the pages say of it. */
export interface PositionView {
  /** "none": not known, and nothing is being asked; null while nobody has been asked, or has answered. */
  word: "known" | "away" | "none" | null;
  boundM: number;
  /** From the place the phone's times are for, metres. */
  awayM: number;
}

interface Kept {
  fix: Fix | null;
  /** What the owner answered when asked. */
  answer: "given" | "refused" | null;
}

const KEY = "position";
/** How often it is looked at again, ms: in quiet, and while the phone may have come back (common practice, no source). */
const AGAIN_MS = 600_000;
const AGAIN_AWAY_MS = 120_000;
const TICK_MS = 30_000;
const LOOK: PositionOptions = { enableHighAccuracy: true, maximumAge: 60_000, timeout: 30_000 };
/** GeolocationPositionError.PERMISSION_DENIED; the two others mean that it was given. */
const DENIED = 1;

export class PositionWatch {
  /** When what was kept has been read. */
  readonly ready: Promise<void>;
  private kept: Kept = { fix: null, answer: null };
  private looking = false;
  private lookedUtcMs = Number.NEGATIVE_INFINITY;
  /** Since the page was loaded; stands for the permission where the browser does not say. */
  private got = false;
  private away = false;
  private readonly end: (() => void)[];

  constructor(private readonly ports: PositionPorts) {
    this.ready = this.recall();
    void this.ready.then(() => this.lookAgain());
    const timer = setInterval(() => {
      const everyMs = this.away ? AGAIN_AWAY_MS : AGAIN_MS;
      if (this.sinceLookMs() >= everyMs) void this.lookAgain();
    }, TICK_MS);
    const shown = ports.onShown(() => void this.recall().then(() => this.lookAgain()));
    this.end = [() => clearInterval(timer), shown];
  }

  close(): void {
    for (const end of this.end) end();
  }

  /** The tap that arms the phone. */
  ask = async (): Promise<void> => {
    await this.ready;
    const said = await this.ports.permission();
    if (said === "granted" || (said !== "denied" && this.kept.answer !== "refused")) this.look();
  };

  /** The phone's position, also when it was asked for by hand. */
  note = ({ latitude, longitude, accuracy }: GeolocationCoordinates): void => {
    this.got = true;
    const fix = { latDeg: latitude, lonDeg: longitude, boundM: accuracy, atUtcMs: this.ports.now() };
    // One that says nothing leaves the one before.
    this.keep({ answer: "given", fix: fix.boundM <= USEFUL_BOUND_M ? fix : this.kept.fix });
  };

  /** Called on every draw. `own`: the phone's own place, where it stands. */
  read(state: SiteState | null, own: OwnPlace | null): PositionView {
    const now = this.ports.now();
    const { fix, answer } = this.kept;
    const site = state?.plan.site ?? null;
    if (!fix || !fixCounts(fix, now)) {
      this.away = false;
      const none = !this.ports.geolocation || (answer !== null && !this.looking);
      return { word: none ? "none" : null, boundM: 0, awayM: 0 };
    }
    this.away = site !== null && isElsewhere(fix, site, own, now);
    return {
      word: this.away ? "away" : "known",
      boundM: fix.boundM,
      awayM: site ? metresAway(fix, site, own) : 0,
    };
  }

  private async lookAgain(): Promise<void> {
    if (!this.ports.shown() || !this.ports.wasArmed()) return;
    const said = await this.ports.permission();
    if (said === null ? this.got : said === "granted") this.look();
  }

  /** Either way: the eclipse clock may just have been set back from a phone's wrong date. */
  private sinceLookMs(): number {
    return Math.abs(this.ports.now() - this.lookedUtcMs);
  }

  private look(): void {
    if (!this.ports.geolocation || (this.looking && this.sinceLookMs() < AGAIN_MS)) return;
    this.looking = true;
    this.lookedUtcMs = this.ports.now();
    this.ports.geolocation.getCurrentPosition(
      ({ coords }) => {
        this.looking = false;
        this.note(coords);
      },
      ({ code }) => {
        this.looking = false;
        this.keep({ ...this.kept, answer: code === DENIED ? "refused" : "given" });
      },
      LOOK,
    );
  }

  private keep(next: Kept): void {
    this.kept = next;
    this.ports.store.set(KEY, next).catch(() => undefined);
  }

  /** Another page of this phone may have looked meanwhile. */
  private async recall(): Promise<void> {
    const kept = await inTime(this.ports.store.get<Kept>(KEY)).catch(() => undefined);
    if (!kept) return;
    const { fix } = this.kept;
    const newer = kept.fix && (!fix || kept.fix.atUtcMs > fix.atUtcMs) ? kept.fix : fix;
    this.kept = { fix: newer, answer: this.kept.answer ?? kept.answer };
  }
}

export function browserPositionPorts(store: BrowserStore, now: () => UtcMs): PositionPorts {
  return {
    store,
    now,
    geolocation: window.isSecureContext ? (navigator.geolocation ?? null) : null,
    permission: async () => {
      try {
        return (await navigator.permissions.query({ name: "geolocation" })).state;
      } catch {
        return null;
      }
    },
    wasArmed: () => prefs().wasArmed,
    shown: () => document.visibilityState === "visible",
    onShown: (listener) => {
      const shown = (): void => {
        if (document.visibilityState === "visible") listener();
      };
      document.addEventListener("visibilitychange", shown);
      window.addEventListener("pageshow", shown);
      return () => {
        document.removeEventListener("visibilitychange", shown);
        window.removeEventListener("pageshow", shown);
      };
    },
  };
}
