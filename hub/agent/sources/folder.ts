/**
 * A folder, or a card, in which frames arrive. Once a second names are listed, and sizes are asked of
 * what is new or may still grow; a file is a frame once its size was the same twice. Nothing is ever
 * opened. (Watchers of the system fired before files were complete; a listing was never early, and
 * 1.5 s late.) The volume says how much is free.
 *
 * A card that is taken out leaves an empty mount point or none: the device number tells it from a
 * folder that was emptied. What was counted stays counted.
 */
import { opendir, stat, statfs } from "node:fs/promises";
import { basename, dirname, join, resolve } from "node:path";
import { type Source, type SourcePorts, tellChanges } from "../source.ts";
import { frameOf, kindOf } from "./frame-names.ts";

const LOOK_MS = 1000;
/** A look that takes longer than this: the folder does not answer. */
const SLOW_MS = 10_000;
const DEPTH_MOST = 4;
/** Names kept at most; a folder with more is not counted any further. */
const NAMES_MOST = 300_000;
/** A video, or an empty file, whose size changed this lately is looked at again, ms. */
const RESTLESS_MS = 60_000;
/** A video that has not grown for so many looks is closed. */
const GROWING_LOOKS = 6;
const RATE_MS = 60_000;
/** Over how long the rate at which space goes is measured, ms. */
const FILL_MS = 120_000;
const FILL_LEAST_MS = 5000;
/** No more than this many lines of sizes are asked for at a time. */
const STATS_AT_ONCE = 32;

export interface FolderMemory {
  frames: number;
  bytes: number;
  /** Frames that were there at the last look. */
  there: number;
  lastFrameUtcMs: number | null;
  /** Where the card was mounted; null for a folder of the system's own disk. */
  mountPoint?: string | null;
}

interface Young {
  path: string;
  kind: "image" | "video";
  size: number;
  /** When the size was first seen as it is. */
  sinceMono: number;
  sinceUtcMs: number | null;
  settled: boolean;
}

export interface FolderPorts extends SourcePorts {
  memory: unknown;
  remember(memory: FolderMemory): void;
  /** The file system's side, so that a test can be slow, and a day short. */
  look?: (folder: string) => Promise<Look>;
  sizeOf?: (path: string) => Promise<number | null>;
  lookMs?: number;
}

/** What one look at a folder gives: names only. */
export interface Look {
  dev: number;
  names: string[];
  /** There were more than are kept. */
  more: boolean;
  /** A folder beneath could not be read: what is not named may be there all the same. */
  unread?: boolean;
  freeBytes: number;
}

export class FolderSource implements Source {
  private readonly root: string;
  private readonly lookMs: number;
  private timer: NodeJS.Timeout | undefined;
  private looking = false;
  private lookBegan = 0;
  private stopped = false;
  private state: "never" | "in" | "gone" = "never";
  private dev: number | null = null;
  private underDev: number | null = null;
  private mountPoint: string | null = null;
  /** Everything that was there at the first look, or is settled. */
  private readonly known = new Set<string>();
  private readonly counted = new Set<string>();
  private readonly young = new Map<string, Young>();
  /** Known, and not there at the last look. */
  private missed = new Set<string>();
  private frames = 0;
  /** Frames that were there when an agent before this one looked last; counted on from at the first look alone. */
  private thereBefore = Number.POSITIVE_INFINITY;
  private bytes = 0;
  private lastFrameUtcMs: number | null = null;
  private arrivals: number[] = [];
  private free: { mono: number; bytes: number }[] = [];
  private videoGrewMono: number | null = null;
  private sawVideo = false;
  private readonly line: (text: string) => void;
  private arriving = false;

  constructor(
    folder: string,
    private readonly ports: FolderPorts,
  ) {
    this.root = resolve(folder);
    this.lookMs = ports.lookMs ?? LOOK_MS;
    this.line = tellChanges((text) => ports.tell(`${this.root}: ${text}`));
    const memory = ports.memory as FolderMemory | undefined;
    if (memory && Number.isSafeInteger(memory.frames) && Number.isFinite(memory.bytes)) {
      this.frames = memory.frames;
      this.bytes = memory.bytes;
      this.lastFrameUtcMs = memory.lastFrameUtcMs ?? null;
      this.mountPoint = memory.mountPoint ?? null;
      if (Number.isSafeInteger(memory.there)) this.thereBefore = memory.there;
      this.state = "gone";
    }
  }

  start(): void {
    this.timer = setInterval(() => this.tick(), this.lookMs);
    this.tick();
  }

  async stop(): Promise<void> {
    this.stopped = true;
    clearInterval(this.timer);
  }

  private tick(): void {
    const mono = this.ports.mono();
    if (this.looking) {
      if (mono - this.lookBegan > SLOW_MS) this.line("does not answer; waiting for it");
      return;
    }
    this.looking = true;
    this.lookBegan = mono;
    const at = { mono, utcMs: this.ports.utcMs() };
    (this.ports.look ?? lookAt)(this.root)
      .then((look) => this.take(look, at))
      .catch((error: NodeJS.ErrnoException) => this.missing(error.code ?? "unreadable"))
      .finally(() => {
        this.looking = false;
      });
  }

  private missing(code: string): void {
    if (this.stopped) return;
    const why = code === "EACCES" || code === "EPERM" ? "may not be read" : "is not there";
    if (this.state === "never") {
      this.line(`${why}; waiting for it`);
      return;
    }
    this.state = "gone";
    this.forgetRates();
    this.ports.say("folder", { card: "gone", ...(this.sawVideo && { recording: false }) });
    this.line("card gone");
  }

  private async take(look: Look, at: { mono: number; utcMs: number | null }): Promise<void> {
    if (this.stopped) return;
    if (this.dev !== null && look.dev !== this.dev) {
      if (look.dev === this.underDev) {
        this.missing("ENODEV");
        return;
      }
      // Another card: what is on it was there before.
      this.dev = null;
    }
    if (this.dev === null) {
      // Begun while the card is out: its empty mount point lies on the disk beneath.
      if (this.mountPoint !== null && !(await isMounted(this.mountPoint))) {
        this.missing("ENODEV");
        return;
      }
      const beneath = await underlying(this.root, look.dev);
      this.dev = look.dev;
      this.underDev = beneath?.dev ?? null;
      this.mountPoint = beneath?.mountPoint ?? null;
      this.begin(look);
    } else if (this.state === "gone") {
      // The same card again: what was written on it, or taken from it, elsewhere is not this rig's.
      this.begin(look);
    }
    if (this.state !== "in") {
      this.state = "in";
      this.ports.say("folder", { card: "in", frames: this.frames });
      this.line(`${this.known.size} files, ${gb(look.freeBytes)} GB free`);
    }
    if (look.more) this.line(`more than ${NAMES_MOST} files: what comes now is not counted`);
    for (const path of look.names) {
      if (this.known.has(path) || this.young.has(path)) continue;
      const kind = kindOf(basename(path));
      if (kind === "other") this.known.add(path);
      else
        this.young.set(path, {
          path,
          kind,
          size: -1,
          sinceMono: at.mono,
          sinceUtcMs: at.utcMs,
          settled: false,
        });
    }
    this.forgetGone(look);
    await this.sizes(at);
    if (this.stopped) return;
    this.report(look, at);
  }

  /**
   * A file that is not there twice is gone: a card that is emptied all day must not fill this memory, and a
   * camera that begins its numbers anew writes new frames under old names.
   */
  private forgetGone({ names, more, unread }: Look): void {
    if (more || unread || this.known.size + this.young.size <= names.length) {
      this.missed.clear();
      return;
    }
    const there = new Set(names);
    const missing = new Set<string>();
    for (const path of this.known) {
      if (there.has(path)) continue;
      if (!this.missed.has(path)) missing.add(path);
      else {
        this.known.delete(path);
        this.counted.delete(frameOf(path));
      }
    }
    this.missed = missing;
  }

  /** The first look at a card: what is there counts as known; after a restart what is new since counts. */
  private begin(look: Look): void {
    this.known.clear();
    this.young.clear();
    this.counted.clear();
    this.missed.clear();
    for (const path of look.names) {
      this.known.add(path);
      if (kindOf(basename(path)) === "image") this.counted.add(frameOf(path));
    }
    this.frames += Math.max(0, this.counted.size - this.thereBefore);
    this.thereBefore = Number.POSITIVE_INFINITY;
    this.forgetRates();
  }

  /** Asks for the size of whatever may still grow. */
  private async sizes(at: { mono: number; utcMs: number | null }): Promise<void> {
    const asked = [...this.young.values()];
    for (let from = 0; from < asked.length; from += STATS_AT_ONCE) {
      const some = asked.slice(from, from + STATS_AT_ONCE);
      const found = await Promise.all(some.map(({ path }) => (this.ports.sizeOf ?? sizeOf)(path)));
      for (const [index, file] of some.entries()) this.grown(file, found[index] ?? null, at);
    }
  }

  private grown(file: Young, size: number | null, at: { mono: number; utcMs: number | null }): void {
    if (size === null) {
      // Renamed or taken away: the next listing says what it is called now.
      this.young.delete(file.path);
      return;
    }
    if (size !== file.size) {
      const before = Math.max(0, file.size);
      if (file.kind === "video" && file.size >= 0 && size > file.size) this.videoGrewMono = at.mono;
      if (size > before) this.bytes += size - before;
      Object.assign(file, { size, sinceMono: at.mono, sinceUtcMs: at.utcMs });
      return;
    }
    if (!file.settled && size > 0) {
      file.settled = true;
      if (file.kind === "image") this.count(file);
    }
    // A frame is done. An empty file may stay so for as long as its camera likes, a video may go on after a pause.
    const done = file.settled && file.kind === "image";
    if (!done && at.mono - file.sinceMono < RESTLESS_MS) return;
    this.young.delete(file.path);
    this.known.add(file.path);
  }

  private count({ path, sinceUtcMs, sinceMono }: Young): void {
    const frame = frameOf(path);
    if (this.counted.has(frame)) return;
    this.counted.add(frame);
    this.frames++;
    this.arrivals.push(sinceMono);
    if (sinceUtcMs !== null) this.lastFrameUtcMs = Math.max(this.lastFrameUtcMs ?? 0, sinceUtcMs);
  }

  private report(look: Look, { mono }: { mono: number }): void {
    this.arrivals = this.arrivals.filter((arrived) => mono - arrived < RATE_MS);
    this.free = this.free.filter((one) => mono - one.mono < FILL_MS);
    const newest = this.free.at(-1);
    // More room than before: something was deleted, the rate begins anew.
    if (newest && look.freeBytes > newest.bytes + 1e6) this.free = [];
    this.free.push({ mono, bytes: look.freeBytes });
    const growing = this.videoGrewMono !== null && mono - this.videoGrewMono < GROWING_LOOKS * this.lookMs;
    this.sawVideo ||= growing;
    this.ports.say("folder", {
      card: "in",
      cardFreeGB: gb(look.freeBytes),
      frames: this.frames,
      framesPerMin: this.arrivals.length,
      writtenGB: Math.round(this.bytes / 1e7) / 100,
      fillsGBPerMin: this.fills(),
      ...(this.lastFrameUtcMs !== null && { lastFrameUtcMs: Math.round(this.lastFrameUtcMs) }),
      ...(this.sawVideo && { recording: growing }),
    });
    this.ports.remember({
      frames: this.frames,
      bytes: this.bytes,
      there: this.counted.size,
      lastFrameUtcMs: this.lastFrameUtcMs,
      mountPoint: this.mountPoint,
    });
    const arriving = this.arrivals.some((arrived) => mono - arrived < 15_000);
    if (arriving !== this.arriving) {
      this.arriving = arriving;
      this.line(
        arriving
          ? `frames are arriving (${this.frames} so far)`
          : `${this.frames} ${this.frames === 1 ? "frame" : "frames"}, then none`,
      );
    }
  }

  /** GB a minute by which free space has gone, 0 while none goes. */
  private fills(): number {
    const [first] = this.free;
    const last = this.free.at(-1);
    if (!first || !last || last.mono - first.mono < FILL_LEAST_MS) return 0;
    const gbPerMin = (first.bytes - last.bytes) / 1e9 / ((last.mono - first.mono) / 60_000);
    return Math.max(0, Math.round(gbPerMin * 100) / 100);
  }

  private forgetRates(): void {
    this.arrivals = [];
    this.free = [];
    this.videoGrewMono = null;
  }
}

/** Fine where it is little: an alert hangs on it. */
function gb(bytes: number): number {
  return Math.round(bytes / (bytes < 1e10 ? 1e7 : 1e8)) / (bytes < 1e10 ? 100 : 10);
}

/** Names beneath a folder and the room on its volume. Opens directories, never a file. */
async function lookAt(root: string): Promise<Look> {
  const { dev } = await stat(root);
  const { bavail, bsize } = await statfs(root);
  const names: string[] = [];
  const lacks = await list(root, 0, names);
  // Taken out meanwhile: the room is that of the disk beneath, and the names are none.
  if ((await stat(root)).dev !== dev) throw Object.assign(new Error("taken out"), { code: "ENODEV" });
  return { dev, names, ...lacks, freeBytes: bavail * bsize };
}

async function sizeOf(path: string): Promise<number | null> {
  return stat(path).then(
    ({ size }) => size,
    () => null,
  );
}

type Lacks = Required<Pick<Look, "more" | "unread">>;

async function list(folder: string, depth: number, names: string[]): Promise<Lacks> {
  const below: string[] = [];
  for await (const entry of await opendir(folder, { bufferSize: 512 })) {
    if (names.length >= NAMES_MOST) return { more: true, unread: false };
    if (entry.isFile()) names.push(join(folder, entry.name));
    else if (entry.isDirectory() && depth < DEPTH_MOST && !/^[.$]/.test(entry.name)) below.push(entry.name);
  }
  let unread = false;
  for (const name of below) {
    // A folder that has gone meanwhile is none; the root's own errors are told.
    const lacks = await list(join(folder, name), depth + 1, names).catch(
      ({ code }: NodeJS.ErrnoException): Lacks => ({ more: false, unread: code !== "ENOENT" }),
    );
    if (lacks.more) return lacks;
    unread ||= lacks.unread;
  }
  return { more: false, unread };
}

/** The mount point that a folder is on, and the device beneath it; null on the system's own disk. */
async function underlying(root: string, dev: number): Promise<{ mountPoint: string; dev: number } | null> {
  for (let folder = root; ; folder = dirname(folder)) {
    const up = dirname(folder);
    if (up === folder) return null;
    const above = await stat(up).catch(() => null);
    if (above && above.dev !== dev) return { mountPoint: folder, dev: above.dev };
  }
}

async function isMounted(mountPoint: string): Promise<boolean> {
  const [point, above] = await Promise.all([stat(mountPoint), stat(dirname(mountPoint))]);
  return point.dev !== above.dev;
}
