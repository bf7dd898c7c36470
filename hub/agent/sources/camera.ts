/**
 * A camera on a cable or in the network, read by gphoto2 where that is installed. Opening a session can
 * lock a real camera (common practice, no source): it is asked once a minute, and never from C2−60 s to
 * C3+60 s nor while frames are due (due-now.ts), nor before the run is known. It says so.
 */
import type { RigSourcePorts } from "../rig-agent.ts";
import { type Source, tellChanges } from "../source.ts";
import {
  clockSaying,
  currentValues,
  fileCount,
  freeGB,
  type Setting,
  sayingOf,
  settingsIn,
} from "./camera-reading.ts";
import { type Asked, askGphoto } from "./gphoto.ts";

const ASK_MS = 60_000;
/** While it may not be asked: how often that is looked at, ms. */
const WAIT_MS = 1000;

type Ask = typeof askGphoto;
type Actions = Parameters<Ask>[1];

export class CameraSource implements Source {
  private timer: NodeJS.Timeout | undefined;
  private readonly ending = new AbortController();
  private working: Promise<unknown> = Promise.resolve();
  private readonly line: (text: string) => void;
  private readonly address: string | null;
  /** Which settings this camera has; asked once. */
  private settings: readonly Setting[] | null = null;
  private firstCount: number | null = null;

  /** @param counts whether its frames are counted; not where a folder does */
  constructor(
    address: string,
    private readonly ports: RigSourcePorts,
    private counts: boolean,
    private readonly ask: Ask = askGphoto,
    private readonly everyMs = ASK_MS,
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
      if (this.closed) {
        this.line(`left alone: ${this.closed}`);
        this.next(Math.min(WAIT_MS, this.everyMs));
        return;
      }
      this.working = this.look().finally(() => this.next(this.everyMs));
    }, afterMs);
  }

  private get closed(): string | null {
    return this.ports.due().cameraClosed;
  }

  private async look(): Promise<void> {
    if (!this.settings) {
      const listed = await this.once([["--list-config"]]);
      if (!listed.ok) return this.line(WHY[listed.why]);
      this.settings = settingsIn(listed.text);
    }
    if (this.closed) return;
    const { settings } = this;
    const askedUtcMs = this.ports.utcMs();
    const asked = await this.once([
      ["--storage-info"],
      ...settings.map(({ path }) => ["--get-config", path] as const),
    ]);
    const answeredUtcMs = this.ports.utcMs();
    if (!asked.ok) {
      // Another camera may be there the next time.
      this.settings = null;
      this.line(WHY[asked.why]);
      return;
    }
    const free = freeGB(asked.text);
    const values = currentValues(asked.text);
    const said = settings.map((setting, at) => sayingOf(setting, values[at] ?? null));
    this.ports.say(
      "camera",
      Object.assign({}, ...said, free !== null && free <= 100_000 ? { cardFreeGB: free } : {}),
    );
    const clock = values[settings.findIndex(({ wanted }) => wanted === "clock")];
    if (clock && /^\d+$/.test(clock) && askedUtcMs !== null && answeredUtcMs !== null)
      this.ports.say(
        "camera",
        clockSaying(Number(clock), askedUtcMs, answeredUtcMs, this.ports.utcBoundMs()),
      );
    this.line(free === null ? "is read" : "is read, its card too");
    if (this.counts && !this.closed) await this.countFrames();
  }

  /** Since it was first asked; with another card it begins anew. Cards with thousands of files take too long. */
  private async countFrames(): Promise<void> {
    const listed = await this.once([["--list-files"]]);
    if (!listed.ok) {
      this.counts = false;
      this.line("has too many files to be counted; its frames are not");
      return;
    }
    const count = fileCount(listed.text);
    if (count === null) return;
    if (this.firstCount === null || count < this.firstCount) this.firstCount = count;
    this.ports.say("camera", { frames: count - this.firstCount });
  }

  private once(actions: Actions): Promise<Asked> {
    return this.ask(this.address, actions, { signal: this.ending.signal });
  }
}

const WHY = {
  "not installed": "gphoto2 is not installed (on Debian: apt install gphoto2); the camera is not read",
  "too slow": "does not answer in time",
  "too much": "says more than any camera",
  failed: "is not there, or is held by another program",
} as const;
