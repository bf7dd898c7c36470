/**
 * What survives a reload, in IndexedDB: unlike localStorage it keeps a write that was confirmed
 * even when the browser is killed right after it. A browser that neither opens nor refuses its
 * storage must not hold the page up: it is given a few seconds, and then counts as refusing.
 */
import type { QueuedFact, SavedSession, SavedState, StorePort } from "../../shared/link/session-types.ts";
import type { Fact } from "../../shared/run/orders/commands.ts";
import type { Refusal } from "../../shared/run/orders/refusal.ts";
import { found, openDatabase, written } from "./indexed-db.ts";
import { newId } from "./new-id.ts";

/**
 * values    by name
 * outbox    facts; the key is the fact's number: the browser itself gives each once, to whichever page asks
 * rejected  by id
 */
type StoreName = "values" | "outbox" | "rejected";
type Kept = QueuedFact & { order?: number };
interface Rejected {
  id: string;
  fact: Fact;
  refusal: Refusal;
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
  private readonly db: Promise<IDBDatabase>;

  constructor(name: string) {
    // Inside a promise: a browser that has no storage at all throws at once.
    const opened = Promise.resolve().then(() =>
      openDatabase(name, VERSION, (db, from, transaction) => {
        const outbox = (facts: readonly Kept[]): void => {
          const store = db.createObjectStore("outbox", { keyPath: "order", autoIncrement: true });
          store.createIndex("id", "id", { unique: true });
          for (const fact of facts) store.add(fact);
        };
        if (from === 1) {
          void found<Kept[]>(transaction.objectStore("outbox").getAll()).then((facts) => {
            db.deleteObjectStore("outbox");
            outbox(facts);
          });
        } else {
          db.createObjectStore("values");
          db.createObjectStore("rejected", { keyPath: "id" });
          outbox([]);
        }
      }),
    );
    this.db = inTime(opened);
    this.db.catch(() => undefined);
  }

  /** One store, to read or to write in one go. */
  private async store(name: StoreName, mode?: IDBTransactionMode): Promise<IDBObjectStore> {
    return (await this.db).transaction(name, mode).objectStore(name);
  }

  private async value<Value>(key: string): Promise<Value | undefined> {
    return found<Value | undefined>((await this.store("values")).get(key));
  }

  private async put(value: unknown, key: string): Promise<void> {
    const store = await this.store("values", "readwrite");
    store.put(value, key);
    await written(store.transaction);
  }

  async load(): Promise<SavedSession> {
    await this.db;
    const [deviceId, saved, clock, outbox, rejected] = await inTime(
      Promise.all([
        this.value<unknown>("deviceId"),
        this.value<SavedState>("state"),
        this.value<unknown>("clock"),
        this.waiting(),
        this.store("rejected").then((store) => found<Rejected[]>(store.getAll())),
      ]),
    );
    const id = typeof deviceId === "string" ? deviceId : newId();
    if (id !== deviceId) await this.put(id, "deviceId");
    return { deviceId: id, state: saved ?? null, clock: clock ?? null, outbox, rejected };
  }

  saveState(saved: SavedState): Promise<void> {
    return this.put(saved, "state");
  }

  saveClock(saved: unknown): Promise<void> {
    return this.put(saved, "clock");
  }

  async queue(item: QueuedFact): Promise<number> {
    const store = await this.store("outbox", "readwrite");
    const { transaction } = store;
    const kept = Promise.all([found(store.add(item)), written(transaction)]);
    // Else the browser would ask this page again before it writes, and the page may be busy or gone.
    transaction.commit();
    const number = Number((await inTime(kept))[0]);
    return number < item.fact.deviceSeq ? inTime(this.renumber(number, item)) : number;
  }

  /** The phone has forgotten how far it had counted and the site has not: goes on from there. */
  private async renumber(from: number, item: QueuedFact): Promise<number> {
    const store = await this.store("outbox", "readwrite");
    const done = written(store.transaction);
    const wanted = item.fact.deviceSeq;
    store.delete(from);
    const taken = (await found(store.getKey(wanted))) !== undefined;
    const number = await found(store.add(taken ? item : { ...item, order: wanted }));
    await done;
    return Number(number);
  }

  async waiting(): Promise<QueuedFact[]> {
    const kept = await found<Kept[]>((await this.store("outbox")).getAll());
    return kept.map(({ id, fact, order = 0 }) => ({ id, fact: { ...fact, deviceSeq: order } }));
  }

  async unqueue(id: string): Promise<void> {
    const store = await this.store("outbox", "readwrite");
    const done = written(store.transaction);
    const key = await found(store.index("id").getKey(id));
    if (key !== undefined) store.delete(key);
    await done;
  }

  async reject(item: QueuedFact, refusal: Refusal): Promise<void> {
    const transaction = (await this.db).transaction(["outbox", "rejected"], "readwrite");
    const done = written(transaction);
    transaction.objectStore("rejected").put({ ...item, refusal } satisfies Rejected);
    const outbox = transaction.objectStore("outbox");
    const key = await found(outbox.index("id").getKey(item.id));
    if (key !== undefined) outbox.delete(key);
    await done;
  }

  /** A value of the page's own, e.g. the rigs this phone has joined. */
  get<Value>(key: string): Promise<Value | undefined> {
    return this.value<Value>(`page:${key}`);
  }

  /** Reads and writes as one, so that two pages of this phone do not undo each other's change. */
  async change<Value>(key: string, by: (value: unknown) => Value): Promise<Value> {
    const store = await this.store("values", "readwrite");
    const done = written(store.transaction);
    const value = by(await found<unknown>(store.get(`page:${key}`)));
    store.put(value, `page:${key}`);
    await done;
    return value;
  }

  set(key: string, value: unknown): Promise<void> {
    return this.put(value, `page:${key}`);
  }
}
