/**
 * Thousands of files on their way: read by a worker some at a time, told to the hub some hundred at a
 * time, stopped and taken up again wherever it was. No React here; the page listens.
 */
import { FRAMES_MOST, type Frame } from "../../../../shared/fields/image-frame.ts";
import type { ChosenFile, OpenFile } from "./chosen-files.ts";
import type { FileRead, HeadersQuestion } from "./header-worker.ts";

/** Files of one question to the worker: the bar moves often, and the page draws seldom. */
const AT_ONCE = 40;

export interface ReadingView {
  done: number;
  all: number;
  state: "reading" | "stopped" | "done";
  unread: { path: string; problem: string }[];
}

export interface ReadingPorts {
  read: (question: HeadersQuestion) => Promise<FileRead[]>;
  /** Tells the hub; false when it did not take them. */
  note: (frames: Frame[]) => Promise<boolean>;
  /** A file was read: its thumbnail can be shown. */
  opened: (path: string, open: OpenFile) => void;
  changed: (view: ReadingView) => void;
}

export class Reading {
  private next = 0;
  private untold: Frame[] = [];
  private readonly unread: ReadingView["unread"] = [];
  private state: ReadingView["state"] = "stopped";

  constructor(
    private readonly files: readonly ChosenFile[],
    private readonly ports: ReadingPorts,
  ) {}

  /** Goes on until all is read, or until it is stopped. Resolves when it rests. */
  async goOn(): Promise<void> {
    if (this.isOn()) return;
    this.set("reading");
    while (this.isOn() && this.next < this.files.length) {
      const some = this.files.slice(this.next, this.next + AT_ONCE);
      const read = await this.ports.read({ files: some });
      for (const [i, one] of read.entries()) this.take(one, some[i] as ChosenFile);
      this.next += some.length;
      if (this.untold.length >= FRAMES_MOST - AT_ONCE && !(await this.tell())) return;
      this.ports.changed(this.view());
    }
    if (!(await this.tell())) return;
    this.set(this.next < this.files.length ? "stopped" : "done");
  }

  stop(): void {
    if (this.isOn()) this.set("stopped");
  }

  private isOn(): boolean {
    return this.state === "reading";
  }

  view(): ReadingView {
    return { done: this.next, all: this.files.length, state: this.state, unread: this.unread };
  }

  private take(read: FileRead, { file }: ChosenFile): void {
    if ("problem" in read) {
      this.unread.push(read);
      return;
    }
    this.untold.push(read.frame);
    this.ports.opened(read.path, { file, thumbnail: read.thumbnail });
  }

  /** What the hub did not take stays, to be told when it goes on. */
  private async tell(): Promise<boolean> {
    if (this.untold.length === 0) return true;
    const taken = await this.ports.note(this.untold);
    if (taken) this.untold = [];
    else this.set("stopped");
    return taken;
  }

  private set(state: ReadingView["state"]): void {
    this.state = state;
    this.ports.changed(this.view());
  }
}
