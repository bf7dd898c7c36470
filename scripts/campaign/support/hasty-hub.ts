/**
 * A hub with one fault, for the check of the check: it says that a command is in the log a moment
 * before it is. Nothing but the campaign starts it.
 */
import { SqliteLog } from "../../../hub/log/sqlite-log.ts";

const LATE_MS = 200;
const commit = SqliteLog.prototype.append;
SqliteLog.prototype.append = function (this: SqliteLog, entry) {
  setTimeout(() => void commit.call(this, entry).catch(() => undefined), LATE_MS);
  return Promise.resolve();
};

await import("../../../hub/main.ts");
