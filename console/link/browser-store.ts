/**
 * What survives a reload, in IndexedDB: unlike localStorage it keeps a write that was confirmed
 * even when the browser is killed right after it. A browser that neither opens nor refuses its
 * storage must not hold the page up: it is given a few seconds, and then counts as refusing.
 */
import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import type { QueuedFact, SavedSession, SavedState, StorePort } from "../../shared/link/session-types.ts";
import type { Fact } from "../../shared/run/commands.ts";
import type { Refusal } from "../../shared/run/refusal.ts";
import { newId } from "./new-id.ts";

interface Schema extends DBSchema {
  values: { key: string; value: unknown };
  outbox: { key: number; value: QueuedFact & { order: number }; indexes: { id: string } };
  rejected: { key: string; value: { id: string; fact: Fact; refusal: Refusal } };
}

const WAIT_S = 4;

/**
 * Rejects when the phone's storage has not answered after some seconds. They are counted one by
 * one, so that a page that was busy or asleep for longer does not take it for silence.
 */
export function inTime<Value>(task: Promise<Value>): Promise<Value> {
  return new Promise((resolve, reject) => {
    let leftS = WAIT_S;
    const timer = setInterval(() => {
      leftS -= 1;
      if (leftS <= 0) reject(new Error("the phone's storage does not answer"));
    }, 1000);
    task.then(resolve, reject).finally(() => clearInterval(timer));
  });
}

export class BrowserStore implements StorePort {
  private readonly db: Promise<IDBPDatabase<Schema>>;

  constructor(name: string) {
    const opened = openDB<Schema>(name, 1, {
      upgrade(db) {
        db.createObjectStore("values");
        const outbox = db.createObjectStore("outbox", { keyPath: "order" });
        outbox.createIndex("id", "id", { unique: true });
        db.createObjectStore("rejected", { keyPath: "id" });
      },
    });
    this.db = inTime(opened);
    this.db.catch(() => undefined);
  }

  async load(): Promise<SavedSession> {
    const db = await this.db;
    const [deviceId, saved, clock, outbox, rejected, counter] = await inTime(
      Promise.all([
        db.get("values", "deviceId"),
        db.get("values", "state"),
        db.get("values", "clock"),
        db.getAll("outbox"),
        db.getAll("rejected"),
        db.get("values", "counter"),
      ]),
    );
    const id = typeof deviceId === "string" ? deviceId : newId();
    if (id !== deviceId) await db.put("values", id, "deviceId");
    return {
      deviceId: id,
      state: (saved as SavedState | undefined) ?? null,
      clock: clock ?? null,
      outbox: outbox.map(({ id: factId, fact }) => ({ id: factId, fact })),
      rejected,
      nextDeviceSeq: typeof counter === "number" ? counter : 0,
    };
  }

  async saveState(saved: SavedState): Promise<void> {
    await (await this.db).put("values", saved, "state");
  }

  async saveClock(saved: unknown): Promise<void> {
    await (await this.db).put("values", saved, "clock");
  }

  async queue(item: QueuedFact): Promise<void> {
    const transaction = (await this.db).transaction(["outbox", "values"], "readwrite");
    const order = item.fact.deviceSeq;
    const written = Promise.all([
      transaction.objectStore("outbox").put({ ...item, order }),
      transaction.objectStore("values").put(order + 1, "counter"),
      transaction.done,
    ]);
    // Else the browser would ask this page again before it writes, and the page may be busy or gone.
    transaction.commit();
    await inTime(written);
  }

  async unqueue(id: string): Promise<void> {
    const transaction = (await this.db).transaction("outbox", "readwrite");
    const key = await transaction.store.index("id").getKey(id);
    if (key !== undefined) await transaction.store.delete(key);
    await transaction.done;
  }

  async reject(item: QueuedFact, refusal: Refusal): Promise<void> {
    const transaction = (await this.db).transaction(["outbox", "rejected"], "readwrite");
    await transaction.objectStore("rejected").put({ ...item, refusal });
    const outbox = transaction.objectStore("outbox");
    const key = await outbox.index("id").getKey(item.id);
    if (key !== undefined) await outbox.delete(key);
    await transaction.done;
  }

  /** The rigs of which reports have not gone out yet. */
  async waitingRigIds(): Promise<string[]> {
    return (await (await this.db).getAll("outbox")).map(({ fact }) => fact.rigId);
  }

  /** A value of the page's own, e.g. the rigs this phone has joined. */
  async get<Value>(key: string): Promise<Value | undefined> {
    return (await (await this.db).get("values", `page:${key}`)) as Value | undefined;
  }

  /** Reads and writes as one, so that two pages of this phone do not undo each other's change. */
  async change<Value>(key: string, by: (value: unknown) => Value): Promise<Value> {
    const transaction = (await this.db).transaction("values", "readwrite");
    const value = by(await transaction.store.get(`page:${key}`));
    await transaction.store.put(value, `page:${key}`);
    await transaction.done;
    return value;
  }

  async set(key: string, value: unknown): Promise<void> {
    await (await this.db).put("values", value, `page:${key}`);
  }
}

/** For pages that keep nothing, and for browsers that refuse storage. */
export class MemoryStore implements StorePort {
  private counter = 0;
  async load(): Promise<SavedSession> {
    return {
      deviceId: newId(),
      state: null,
      clock: null,
      outbox: [],
      rejected: [],
      nextDeviceSeq: this.counter,
    };
  }
  async saveState(): Promise<void> {}
  async saveClock(): Promise<void> {}
  async queue(): Promise<void> {}
  async unqueue(): Promise<void> {}
  async reject(): Promise<void> {}
}
