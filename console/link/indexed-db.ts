/** IndexedDB in promises, as far as one phone's store needs it: a library for all of it weighs 2 kB. */

/** What a request finds; rejects with its error. */
export function found<Value>(request: IDBRequest<Value>): Promise<Value> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Settles when everything of a transaction is written, or nothing of it. */
export function written(transaction: IDBTransaction): Promise<void> {
  const done = new Promise<void>((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error);
  });
  // Whoever gave up before waits for nothing any more.
  done.catch(() => undefined);
  return done;
}

/**
 * Opens a database. `upgrade` brings one of an older version (0: none) to this one; a page of a newer
 * program that waits for this one to let go is let in.
 */
export function openDatabase(
  name: string,
  version: number,
  upgrade: (db: IDBDatabase, from: number, transaction: IDBTransaction) => void,
): Promise<IDBDatabase> {
  const request = indexedDB.open(name, version);
  request.onupgradeneeded = ({ oldVersion }) => {
    const { result, transaction } = request;
    if (transaction) upgrade(result, oldVersion, transaction);
  };
  return found(request).then((db) => {
    db.onversionchange = () => db.close();
    return db;
  });
}
