/**
 * Site files that no hub may go on with: hostile ones, damaged ones, and such as another program
 * or a later release would write. Each is made from a good one.
 */
import { copyFileSync, readFileSync, truncateSync, writeFileSync } from "node:fs";
import Database from "better-sqlite3";

export interface BadFile {
  /** What is wrong with it. */
  name: string;
  /** Spoils the good file given. */
  spoil: (file: string) => void;
}

const sql =
  (statements: string, ...pragmas: string[]) =>
  (file: string): void => {
    const db = new Database(file);
    try {
      // As a person with bad intent would: nothing that SQLite guards by default is in the way.
      db.unsafeMode(true);
      for (const pragma of pragmas) db.pragma(pragma);
      db.exec(statements);
    } finally {
      db.close();
    }
  };

/** Rewrites how an object of the schema is made, in the schema's own table. */
const schema = (name: string, from: string, to: string) => (file: string) => {
  sql(
    `UPDATE sqlite_master SET sql = replace(sql, '${from}', '${to}') WHERE name = '${name}'`,
    "writable_schema = ON",
  )(file);
};

/** Makes a table anew under its own name, as its columns are said here, with all that it held. */
const remade = (table: string, made: string) =>
  sql(`ALTER TABLE ${table} RENAME TO old; ${made}; INSERT INTO ${table} SELECT * FROM old; DROP TABLE old;
    DROP INDEX IF EXISTS events_by_run; CREATE INDEX events_by_run ON events (run_id);`);

const bytes = (change: (bytes: Buffer) => Buffer | undefined) => (file: string) => {
  const before = readFileSync(file);
  writeFileSync(file, change(before) ?? before);
};

/** Zeros in the page where a table begins (page size 4096, as SQLite makes it). */
const blank = (table: string) => (file: string) => {
  const db = new Database(file, { readonly: true });
  const page = Number(db.prepare("SELECT rootpage FROM sqlite_schema WHERE name = ?").pluck().get(table));
  db.close();
  bytes((b) => void b.fill(0, (page - 1) * 4096, page * 4096))(file);
};

/** One event more, or one changed; columns as in the table. */
const event = (change: string) =>
  sql(`UPDATE events SET ${change} WHERE seq = (SELECT MAX(seq) FROM events)`);
const last = (type: string, payload: unknown) =>
  event(`type = '${type}', v = 1, payload = '${JSON.stringify(payload).replaceAll("'", "''")}'`);
const planned = (type: "sitePlanned" | "rigPlanned", path: string, json: string) =>
  sql(`UPDATE events SET payload = json_set(payload, '${path}', json('${json}')) WHERE type = '${type}'`);
const unplanned = (type: "sitePlanned" | "rigPlanned", path: string) =>
  sql(`UPDATE events SET payload = json_remove(payload, '${path}') WHERE type = '${type}'`);

const EVENTS = `seq INTEGER PRIMARY KEY, run_id TEXT NOT NULL, type TEXT NOT NULL, v INTEGER NOT NULL,
  actor TEXT NOT NULL, command_id TEXT NOT NULL, observed_utc_ms REAL NOT NULL, bound_ms REAL,
  device_id TEXT, device_seq INTEGER, logged_utc_ms REAL NOT NULL, payload TEXT NOT NULL`;

export const BAD_FILES: readonly BadFile[] = [
  // Not a site at all.
  { name: "an empty file", spoil: (file) => writeFileSync(file, " ") },
  { name: "JSON in place of a database", spoil: (file) => writeFileSync(file, '{"plan":{}}') },
  {
    name: "noise behind a good header",
    spoil: bytes((b) => Buffer.concat([b.subarray(0, 16), Buffer.alloc(9000, 0x5a)])),
  },
  { name: "the header alone", spoil: (file) => truncateSync(file, 100) },
  { name: "another program's database", spoil: sql("PRAGMA application_id = 1") },
  { name: "a site without a version", spoil: sql("PRAGMA user_version = 0") },
  { name: "a site of a later release", spoil: sql("PRAGMA user_version = 99") },
  { name: "a negative version", spoil: sql("PRAGMA user_version = -1") },
  // Damaged.
  { name: "cut short by a page", spoil: bytes((b) => b.subarray(0, b.length - 4096)) },
  { name: "cut to a third", spoil: bytes((b) => b.subarray(0, Math.ceil(b.length / 3))) },
  { name: "cut in the middle of a page", spoil: bytes((b) => b.subarray(0, b.length - 1000)) },
  { name: "garbage in the schema's page", spoil: bytes((b) => void b.fill(0xa5, 100, 2000)) },
  { name: "garbage in the second page", spoil: bytes((b) => void b.fill(0xa5, 4096, 8192)) },
  { name: "zeros where the settings are", spoil: blank("settings") },
  { name: "a page in the place of another", spoil: bytes((b) => void b.copy(b, 4096, 8192, 12_288)) },
  { name: "a page size of one byte", spoil: bytes((b) => void b.writeUInt16BE(3, 16)) },
  { name: "a page count far too high", spoil: bytes((b) => void b.writeUInt32BE(0x7fffffff, 28)) },
  // What a site does not hold.
  {
    name: "a trigger that eats reports",
    spoil: sql("CREATE TRIGGER t AFTER INSERT ON events BEGIN DELETE FROM events WHERE seq = NEW.seq; END"),
  },
  {
    name: "a trigger under a name that a pattern for SQLite's own lets by",
    spoil: sql(
      "CREATE TRIGGER sqliteXeats AFTER INSERT ON events BEGIN DELETE FROM events WHERE seq = NEW.seq; END",
    ),
  },
  {
    name: "a trigger named as our index",
    spoil: sql(`CREATE TRIGGER events_by_run AFTER INSERT ON events
      BEGIN DELETE FROM commands; END`),
  },
  {
    name: "a trigger written into the schema by hand",
    spoil: sql(
      `INSERT INTO sqlite_master VALUES ('trigger', 'sqlite_eats', 'events', 0,
        'CREATE TRIGGER sqlite_eats AFTER INSERT ON events BEGIN DELETE FROM events WHERE seq = NEW.seq; END')`,
      "writable_schema = ON",
    ),
  },
  {
    name: "a trigger on the settings",
    spoil: sql("CREATE TRIGGER s BEFORE UPDATE ON settings BEGIN SELECT RAISE(IGNORE); END"),
  },
  { name: "a view", spoil: sql("CREATE VIEW v AS SELECT * FROM settings") },
  {
    name: "a view in the place of a table",
    spoil: sql("DROP TABLE clock_samples; CREATE VIEW clock_samples AS SELECT 1"),
  },
  { name: "a table more", spoil: sql("CREATE TABLE extra (a)") },
  { name: "an index more", spoil: sql("CREATE INDEX extra ON events (type)") },
  {
    name: "an index that lets one report of a kind in",
    spoil: sql("CREATE UNIQUE INDEX one ON events (run_id, seq)"),
  },
  {
    name: "an index with a condition in place of ours",
    spoil: sql("DROP INDEX events_by_run; CREATE INDEX events_by_run ON events (run_id) WHERE seq < 2"),
  },
  { name: "statistics that steer the reader", spoil: sql("ANALYZE") },
  { name: "a full-text table", spoil: sql("CREATE VIRTUAL TABLE words USING fts5(a)") },
  // What a site has and this lacks.
  { name: "no commands", spoil: sql("DROP TABLE commands") },
  { name: "no index of runs", spoil: sql("DROP INDEX events_by_run") },
  {
    name: "commands without their key",
    spoil: remade(
      "commands",
      "CREATE TABLE commands (sender TEXT NOT NULL, command_id TEXT NOT NULL, body_hash TEXT NOT NULL, answer TEXT NOT NULL) STRICT",
    ),
  },
  {
    name: "events without their key",
    spoil: remade(
      "events",
      `CREATE TABLE events (${EVENTS.replace("INTEGER PRIMARY KEY", "INTEGER")}) STRICT`,
    ),
  },
  { name: "events of any kind of value", spoil: remade("events", `CREATE TABLE events (${EVENTS})`) },
  { name: "a column less", spoil: sql("ALTER TABLE clock_samples DROP COLUMN delay_ms") },
  { name: "a column more", spoil: sql("ALTER TABLE events ADD COLUMN extra TEXT") },
  {
    name: "a check that refuses every new report",
    spoil: remade("events", `CREATE TABLE events (${EVENTS}, CHECK (seq < 10000)) STRICT`),
  },
  {
    name: "a key that quietly replaces",
    spoil: remade(
      "events",
      `CREATE TABLE events (${EVENTS.replace("PRIMARY KEY", "PRIMARY KEY ON CONFLICT REPLACE")}) STRICT`,
    ),
  },
  {
    name: "a schema that says other than is there",
    spoil: schema("settings", "value TEXT NOT NULL", "value TEXT NOT NULL DEFAULT 1"),
  },
  // Events that do not make a state.
  { name: "an event missing", spoil: sql("DELETE FROM events WHERE seq = 1") },
  { name: "an event missing in the middle", spoil: sql("DELETE FROM events WHERE seq = 2") },
  { name: "an event numbered below one", spoil: sql("UPDATE events SET seq = -5 WHERE seq = 1") },
  { name: "half a payload", spoil: event(`payload = '{"rigId":'`) },
  { name: "a payload with something behind its end", spoil: event("payload = '{}' || char(0) || 'more'") },
  { name: "a payload that is a number", spoil: event("payload = '7'") },
  { name: "an event of an unknown kind", spoil: last("weatherReported", {}) },
  { name: "an event named as every object's property", spoil: last("constructor", {}) },
  { name: "an event of a later version", spoil: event("v = 9") },
  { name: "an event of version 0", spoil: event("v = 0") },
  { name: "a report without a rig", spoil: last("rigReported", { flags: [], filter: "on" }) },
  {
    name: "a report with a filter of its own invention",
    spoil: last("rigReported", { rigId: "west", flags: [], filter: "ajar" }),
  },
  {
    name: "a report of a rig that is every object's property",
    spoil: last("rigReported", { rigId: "__proto__", flags: [], help: true }),
  },
  {
    name: "a battery at infinity",
    spoil: event(`type = 'rigReported', payload = '{"rigId":"west","flags":[],"batteryPct":9e999}'`),
  },
  { name: "an instant at infinity", spoil: event("observed_utc_ms = 9e999") },
  { name: "an instant in the age of the pyramids", spoil: event("logged_utc_ms = -1e14") },
  { name: "a device's number past what can be counted", spoil: event("device_seq = 9223372036854775807") },
  { name: "a save of no rig", spoil: unplanned("rigPlanned", "$.rig") },
  { name: "a rig whose cues are no list", spoil: planned("rigPlanned", "$.rig.cues", '"focus"') },
  { name: "a rig without a field that every rig has", spoil: unplanned("rigPlanned", "$.rig.kind") },
  { name: "a cue without an anchor", spoil: unplanned("rigPlanned", "$.rig.cues[0].anchor") },
  {
    name: "an edit that nobody knows",
    spoil: planned("rigPlanned", "$.rig.edits", '[{"do":"burn","cueId":"focus-tape"}]'),
  },
  {
    name: "contacts that are no instants",
    spoil: planned("sitePlanned", "$.circumstances.contacts.c2", '"noon"'),
  },
  { name: "circumstances without contacts", spoil: unplanned("sitePlanned", "$.circumstances.contacts") },
  { name: "a zone that no clock knows", spoil: planned("sitePlanned", "$.part.site.zone", '"Moon/Mare"') },
  {
    name: "a practice run at the speed of light",
    spoil: last("practiceStarted", {
      runId: "practice-x",
      anchor: "C2",
      offsetS: 0,
      rate: 3e8,
      startedUtcMs: 1.8e12,
      startRunMs: 1.8e12,
      endsAtUtcMs: 1.9e12,
    }),
  },
  {
    name: "a message of a megabyte",
    spoil: event(
      `type = 'messageSent', payload = json_object('messageId', 'm', 'text', hex(zeroblob(500000)), 'rigIds', NULL, 'by', 'x')`,
    ),
  },
  {
    name: "a payload larger than any event",
    spoil: event("payload = json_object('a', hex(zeroblob(6000000)))"),
  },
  // What lies beside the events.
  { name: "an answer that is none", spoil: sql("UPDATE commands SET answer = 'yes'") },
  { name: "a setting that cannot be read", spoil: sql("INSERT INTO settings VALUES ('odd', '{half')") },
  {
    name: "a secret that is no secret",
    spoil: sql("UPDATE settings SET value = '{}' WHERE key = 'siteSecret'"),
  },
];

/** Makes the bad file beside the good one. */
export function makeBad(good: string, bad: BadFile, to: string): void {
  copyFileSync(good, to);
  bad.spoil(to);
}
