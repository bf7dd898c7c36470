/**
 * The log as JSON and as a table, written row by row so that a long night fits in memory, no
 * faster than it is taken, and in pieces between which the hub does everything else.
 */
import { once } from "node:events";
import { setImmediate as otherWork } from "node:timers/promises";
import type { Response } from "express";
import { ALL_REPORTED, type AnyField } from "../../shared/run/facts/report-schema.ts";
import { isoUtc } from "../../shared/time/iso.ts";
import type { EventLog, LogFilter, LoggedEvent } from "../log/event-log.ts";
import { csvRow, inFileName } from "./csv.ts";

export interface LogQueryValues {
  run?: string | undefined;
  after?: number | undefined;
}

function filterOf(query: LogQueryValues): LogFilter {
  return {
    ...(query.run !== undefined && { runId: query.run }),
    ...(query.after !== undefined && { afterSeq: query.after }),
  };
}

/** A download's name, with the run in it. */
function attachment(query: LogQueryValues, form: "json" | "csv"): string {
  const run = query.run === undefined ? "" : `-${inFileName(query.run)}`;
  return `attachment; filename="noonfall-log${run}.${form}"`;
}

/** Rows written at once before the hub looks after everybody else. */
const ROWS_AT_ONCE = 200;
/** Or for how long they are made, ms: what a rig is planned to do is as long as many reports. */
const PIECE_MS = 2;

/** Writes all rows, waiting for a reader that is slower; ends early when the reader has gone. */
export async function writeRows(response: Response, rows: Iterable<string>): Promise<void> {
  const gone = new AbortController();
  response.once("close", () => gone.abort());
  let piece = "";
  let row = 0;
  let since = performance.now();
  for (const text of rows) {
    piece += text;
    if (++row % ROWS_AT_ONCE !== 0 && performance.now() - since < PIECE_MS) continue;
    if (gone.signal.aborted || response.destroyed) return;
    const room = response.write(piece);
    piece = "";
    if (!room) await once(response, "drain", { signal: gone.signal }).catch(() => undefined);
    await otherWork();
    since = performance.now();
  }
  if (piece !== "" && !response.destroyed) response.write(piece);
}

function* jsonRows(events: Iterable<LoggedEvent>): Generator<string> {
  let first = true;
  for (const event of events) {
    yield `${first ? "" : ","}\n${JSON.stringify(event)}`;
    first = false;
  }
}

function* csvRows(events: Iterable<LoggedEvent>): Generator<string> {
  for (const event of events) yield csvRow(COLUMNS.map(([, value]) => value(event)));
}

export async function logJson(log: EventLog, query: LogQueryValues, response: Response): Promise<void> {
  response.type("application/json");
  response.setHeader("Content-Disposition", attachment(query, "json"));
  response.write('{"events":[');
  await writeRows(response, jsonRows(log.read(filterOf(query))));
  response.end("\n]}\n");
}

/** What a report said of one field; empty in all other events. */
function said({ type, payload }: LoggedEvent, field: AnyField): unknown {
  const value = type === "rigReported" ? (payload as Partial<Record<AnyField, unknown>>)[field] : null;
  return typeof value === "object" && value !== null ? JSON.stringify(value) : value;
}

const COLUMNS: readonly [string, (event: LoggedEvent) => unknown][] = [
  ["seq", (event) => event.seq],
  ["runId", (event) => event.runId],
  ["type", (event) => event.type],
  ["actor", (event) => event.actor],
  ["observedUtc", (event) => isoUtc(event.observedUtcMs)],
  ["loggedUtc", (event) => isoUtc(event.loggedUtcMs)],
  ["boundMs", (event) => event.boundMs],
  ["deviceId", (event) => event.deviceId],
  ["commandId", (event) => event.commandId],
  ["payload", (event) => JSON.stringify(event.payload)],
  ...(Object.keys(ALL_REPORTED) as AnyField[]).map((field): [string, (event: LoggedEvent) => unknown] => [
    field,
    (event) => said(event, field),
  ]),
];

/** With a heading. */
export async function logCsv(log: EventLog, query: LogQueryValues, response: Response): Promise<void> {
  response.type("text/csv; charset=utf-8");
  response.setHeader("Content-Disposition", attachment(query, "csv"));
  response.write(csvRow(COLUMNS.map(([name]) => name)));
  await writeRows(response, csvRows(log.read(filterOf(query))));
  response.end();
}
