/**
 * What survives a reload, in IndexedDB: unlike localStorage it keeps a write that was confirmed
 * even when the browser is killed right after it. A browser that neither opens nor refuses its
 * storage must not hold the page up: it is given a few seconds, and then counts as refusing.
 */
import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import type { QueuedFact, SavedSession, SavedState, StorePort } from "../../shared/link/session-types.ts";
import type { Fact } from "../../shared/run/orders/commands.ts";
import type { Refusal } from "../../shared/run/orders/refusal.ts";
import { newId } from "./new-id.ts";

interface Schema extends DBSchema {
  values: { key: string; value: unknown };
  /** The key is the fact's number: the browser itself gives each once, to whichever page asks. */
  outbox: { key: number; value: QueuedFact & { order?: number }; indexes: { id: string } };
  rejected: { key: string; value: { id: string; fact: Fact; refusal: Refusal } };
}

const VERSION = 2;
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
    // Inside a promise: a browser that has no storage at all throws at once.
    const opened = Promise.resolve().then(() =>
      openDB<Schema>(name, VERSION, {
        async upgrade(db, from, _to, transaction) {
          const facts = from === 1 ? await transaction.objectStore("outbox").getAll() : [];
          if (from === 1) db.deleteObjectStore("outbox");
          else {
            db.createObjectStore("values");
            db.createObjectStore("rejected", { keyPath: "id" });
          }
          const outbox = db.createObjectStore("outbox", { keyPath: "order", autoIncrement: true });
          outbox.createIndex("id", "id", { unique: true });
          for (const fact of facts) await outbox.add(fact);
        },
        // A page of a newer program waits for this one to let go.
        blocking: (_from, _to, { target }) => (target as IDBDatabase).close(),
      }),
    );
    this.db = inTime(opened);
    this.db.catch(() => undefined);
  }

  async load(): Promise<SavedSession> {
    const db = await this.db;
    const [deviceId, saved, clock, outbox, rejected] = await inTime(
      Promise.all([
        db.get("values", "deviceId"),
        db.get("values", "state"),
        db.get("values", "clock"),
        this.waiting(),
        db.getAll("rejected"),
      ]),
    );
    const id = typeof deviceId === "string" ? deviceId : newId();
    if (id !== deviceId) await db.put("values", id, "deviceId");
    return {
      deviceId: id,
      state: (saved as SavedState | undefined) ?? null,
      clock: clock ?? null,
      outbox,
      rejected,
    };
  }

  async saveState(saved: SavedState): Promise<void> {
    await (await this.db).put("values", saved, "state");
  }

  async saveClock(saved: unknown): Promise<void> {
    await (await this.db).put("values", saved, "clock");
  }

  async queue(item: QueuedFact): Promise<number> {
    const transaction = (await this.db).transaction("outbox", "readwrite");
    const written = Promise.all([transaction.store.add(item), transaction.done]);
    // Else the browser would ask this page again before it writes, and the page may be busy or gone.
    transaction.commit();
    const [number] = await inTime(written);
    return number < item.fact.deviceSeq ? inTime(this.renumber(number, item)) : number;
  }

  /** The phone has forgotten how far it had counted and the site has not: goes on from there. */
  private async renumber(from: number, item: QueuedFact): Promise<number> {
    const transaction = (await this.db).transaction("outbox", "readwrite");
    const { store } = transaction;
    const wanted = item.fact.deviceSeq;
    await store.delete(from);
    const taken = (await store.getKey(wanted)) !== undefined;
    const number = await store.add(taken ? item : { ...item, order: wanted });
    await transaction.done;
    return number;
  }

  async waiting(): Promise<QueuedFact[]> {
    const kept = await (await this.db).getAll("outbox");
    return kept.map(({ id, fact, order = 0 }) => ({ id, fact: { ...fact, deviceSeq: order } }));
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
