/**
 * A camera on a cable or in the network, read by gphoto2 where that is installed. Opening a session can
 * lock a real camera (common practice, no source): it is asked once a minute, and never from C2−60 s to C3+60 s nor
 * while frames are due (due-now.ts), nor before the run is known. It says so.
 */
import type { RigSourcePorts } from "../rig-agent.ts";
import { type Source, tellChanges } from "../source.ts";
import {
  batterySaying,
  CAMERA_SETTINGS,
  clockSaying,
  currentOf,
  exposureSaying,
  fileCount,
  freeGB,
} from "./camera-reading.ts";
import { type Asked, askGphoto } from "./gphoto.ts";

const ASK_MS = 60_000;
/** While it may not be asked: how often that is looked at, ms. */
const WAIT_MS = 1000;

type Ask = typeof askGphoto;

export class CameraSource implements Source {
  private timer: NodeJS.Timeout | undefined;
  private readonly ending = new AbortController();
  private working: Promise<unknown> = Promise.resolve();
  private readonly line: (text: string) => void;
  private readonly address: string | null;
  /** Settings that this camera has not: asked for once. */
  private readonly missing = new Set<string>();
  private firstCount: number | null = null;

  /** @param counts whether its frames are counted; not where a folder does */
  constructor(
    address: string,
    private readonly ports: RigSourcePorts,
    private readonly counts: boolean,
    private readonly ask: Ask = askGphoto,
  ) {
    this.address = address === "auto" ? null : address;
    this.line = tellChanges((text) => ports.tell(`camera ${address}: ${text}`));
  }

  start(): void {
    this.next(0);
  }

  async stop(): Promise<void> {
    clearTimeout(this.timer);
    this.ending.abort();
    await this.working;
  }

  private next(afterMs: number): void {
    if (this.ending.signal.aborted) return;
    this.timer = setTimeout(() => {
      const { cameraClosed } = this.ports.due();
      if (cameraClosed) {
        this.line(`left alone: ${cameraClosed}`);
        this.next(WAIT_MS);
        return;
      }
      this.working = this.look().finally(() => this.next(ASK_MS));
    }, afterMs);
  }

  private async look(): Promise<void> {
    const settings = CAMERA_SETTINGS.map((name) => ["--get-config", name] as const);
    const stores = await this.once([
      ["--storage-info"],
      ...(this.counts ? ([["--num-files"]] as const) : []),
    ]);
    if (!stores.ok) return this.line(WHY[stores.why]);
    const free = freeGB(stores.text);
    this.ports.say("camera", {
      ...(free !== null && free <= 100_000 && { cardFreeGB: free }),
      ...this.framesIn(stores.text),
    });
    const values: (string | null)[] = [];
    for (const setting of settings) values.push(await this.setting(setting));
    const [battery, , iso, shutter, fNumber] = values;
    this.ports.say("camera", {
      ...batterySaying(battery ?? null),
      ...exposureSaying(shutter ?? null, iso ?? null, fNumber ?? null),
    });
    this.line(free === null ? "is read" : `is read, ${free} GB free`);
  }

  /** Since it was first asked; one whose card was changed begins anew. */
  private framesIn(text: string): { frames?: number } {
    const count = fileCount(text);
    if (count === null) return {};
    if (this.firstCount === null || count < this.firstCount) this.firstCount = count;
    return { frames: count - this.firstCount };
  }

  /** One setting; null where the camera has none, or may not be asked any more. The clock's is timed. */
  private async setting(action: readonly ["--get-config", string]): Promise<string | null> {
    if (this.ports.due().cameraClosed || this.missing.has(action[1])) return null;
    const isClock = action[1].endsWith("/datetime");
    const askedUtcMs = this.ports.utcMs();
    const asked = await this.once([action]);
    const answeredUtcMs = this.ports.utcMs();
    if (!asked.ok && asked.why === "failed") this.missing.add(action[1]);
    const current = asked.ok ? currentOf(asked.text) : null;
    if (
      isClock &&
      asked.ok &&
      current !== null &&
      /^\d+$/.test(current) &&
      askedUtcMs !== null &&
      answeredUtcMs !== null
    )
      this.ports.say(
        "camera",
        clockSaying(Number(current), askedUtcMs, answeredUtcMs, this.ports.utcBoundMs()),
      );
    return current;
  }

  private once(actions: readonly (readonly [string, ...string[]])[]): Promise<Asked> {
    return this.ask(this.address, actions, { signal: this.ending.signal });
  }
}

const WHY = {
  "not installed": "gphoto2 is not installed (on Debian: apt install gphoto2); the camera is not read",
  "too slow": "does not answer in time",
  "too much": "says more than any camera",
  failed: "is not there, or is held by another program",
} as const;
