/**
 * An agent's day without waiting for it: events of so many seconds, one look after the other, on a clock of
 * its own. A camera writes twenty frames a second into a folder that is emptied when it is full and taken out
 * and put back now and then, its numbers beginning anew; mounts and wheels come and go; the link comes and
 * goes. Everything but the sockets is the agent's own. Says what lives on the heap, after collecting, at
 * intervals.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { FileStore } from "../../hub/agent/file-store.ts";
import type { SourcePorts } from "../../hub/agent/source.ts";
import { FolderSource, type Look } from "../../hub/agent/sources/folder.ts";
import { readIndi } from "../../hub/agent/sources/indi-reading.ts";
import { IndiStream } from "../../hub/agent/sources/indi-stream.ts";
import { Teller } from "../../hub/agent/teller.ts";
import { Voices } from "../../hub/agent/voices.ts";

const FRAMES_PER_S = 20;
/** The card is emptied when it has so many. */
const CARD_HOLDS = 4000;
const FRAME_BYTES = 5e6;
const DISK_BYTES = 64e9;
const START_MS = Date.UTC(2027, 7, 2, 6);

export interface AgentDay {
  written: number;
  counted: number;
  reports: number;
  /** In MB, after collecting, at even intervals. */
  heapMB: number[];
  sizesAsked: number;
}

export async function liveAgentDay(seconds: number, samples = 12): Promise<AgentDay> {
  setFlagsFromString("--expose-gc");
  const collect = runInNewContext("gc") as () => void;
  const folder = mkdtempSync(join(tmpdir(), "noonfall-agent-day-"));
  try {
    return await live(seconds, Math.max(1, Math.floor(seconds / samples)), collect, join(folder, "rig.json"));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function live(seconds: number, every: number, collect: () => void, file: string): Promise<AgentDay> {
  const day: AgentDay = { written: 0, counted: 0, reports: 0, heapMB: [], sizesAsked: 0 };
  let s = 0;
  const [teller, voices] = [new Teller(), new Voices()];
  const store = new FileStore(file, () => undefined);
  const ports: SourcePorts = {
    mono: () => s * 1000,
    utcMs: () => START_MS + s * 1000,
    utcBoundMs: () => 5,
    say(instrument, saying, device = "") {
      if (saying.frames !== undefined) day.counted = saying.frames;
      teller.hear(instrument, voices.hear(instrument, saying, device), s * 1000);
    },
    forget: (device) => void voices.forget(device),
    tell: () => undefined,
  };

  async function second(): Promise<void> {
    s++;
    if (s % every === 0) {
      collect();
      day.heapMB.push(process.memoryUsage().heapUsed / 1e6);
    }
    if (s % 17 === 0) server(ports, s);
    // Two hours in three it is linked; a practice every hour is another run.
    const pace = s % 10_800 < 7200 ? (s % 600 < 60 ? "near" : "linked") : "alone";
    for (const report of teller.due(s * 1000, pace, `run-${Math.floor(s / 3600)}`)) {
      day.reports++;
      const fact = {
        v: 1,
        rigId: "west",
        runId: null,
        deviceSeq: 0,
        observedUtcMs: START_MS,
        boundMs: 5,
        report,
      };
      await store.queue({ id: String(day.reports), fact } as never);
      await store.unqueue(String(day.reports));
    }
  }

  const card = new Card();
  await new Promise<void>((resolve) => {
    const source = new FolderSource("/card", {
      ...ports,
      memory: undefined,
      remember: (memory) => store.remember("folder /card", memory),
      look: async () => {
        await second();
        if (s === seconds) resolve(source.stop());
        return card.look(s, seconds - s > REST_S);
      },
      sizeOf: async () => {
        day.sizesAsked++;
        return FRAME_BYTES;
      },
      lookMs: 1,
    });
    source.start();
  });
  return { ...day, written: card.written };
}

/** What is rested before frames are taken away, so that the last ones are seen; and before new ones come. */
const REST_S = 10;

class Card {
  written = 0;
  private names: string[] = [];
  private restedS = 0;

  /** One second later. @param writes whether the camera does. Throws while the card is out. */
  look(s: number, writes: boolean): Look {
    const ofTwoHours = s % 7200;
    // Out for half a minute.
    if (ofTwoHours > 7170) throw Object.assign(new Error("out"), { code: "ENOENT" });
    // What is there when it comes back is not counted: it may have been written elsewhere.
    if (ofTwoHours < REST_S) return this.now();
    const full = this.names.length >= CARD_HOLDS;
    this.restedS = full || this.names.length === 0 ? this.restedS + 1 : 0;
    if (full && this.restedS > REST_S) [this.names, this.restedS] = [[], 0];
    else if (!full && writes && ofTwoHours < 7160 && (this.names.length > 0 || this.restedS > REST_S))
      this.write();
    return this.now();
  }

  private now(): Look {
    const freeBytes = DISK_BYTES - this.names.length * FRAME_BYTES;
    return { dev: 1, names: [...this.names], more: false, freeBytes };
  }

  private write(): void {
    for (let n = 0; n < FRAMES_PER_S; n++) {
      // Its numbers begin anew on an empty card.
      this.names.push(`/card/DCIM/100/IMG_${String(this.names.length + 1).padStart(6, "0")}.JPG`);
      this.written++;
    }
  }
}

/** A server that comes, defines a mount and a wheel under a new name, and goes. */
function server(ports: SourcePorts, s: number): void {
  const device = `Mount ${s}`;
  const vectors = new Map<string, Parameters<typeof readIndi>[0][number]>();
  const stream = new IndiStream({
    take: (vector) => void vectors.set(vector.name, vector),
    drop: () => undefined,
  });
  const one = (name: string, member: string, value: string) =>
    `<defSwitchVector device="${device}" name="${name}" state="Ok"><defSwitch name="${member}">${value}</defSwitch></defSwitchVector>`;
  const on = s % 2 === 0 ? "On" : "Off";
  stream.write(
    Buffer.from(one("CONNECTION", "CONNECT", "On") + one("TELESCOPE_TRACK_STATE", "TRACK_ON", on)),
    s * 1000,
  );
  for (const [, sayings] of readIndi([...vectors.values()]))
    for (const [instrument, saying] of sayings) ports.say(instrument, saying, device);
  ports.forget(device);
}
