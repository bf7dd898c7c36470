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

/** A download's name, with the run in it: RFC 6266, only characters that every file system takes. */
function attachment(query: LogQueryValues, form: "json" | "csv"): string {
  const run = query.run === undefined ? "" : `-${query.run.replace(/[^A-Za-z0-9_-]/g, "-")}`;
  return `attachment; filename="noonfall-log${run}.${form}"`;
}

/** Rows written before the hub looks after everybody else: some ms on a laptop. */
const ROWS_AT_ONCE = 200;

/** Writes all rows, waiting for a reader that is slower; ends early when the reader has gone. */
export async function writeRows(response: Response, rows: Iterable<string>): Promise<void> {
  const gone = new AbortController();
  response.once("close", () => gone.abort());
  let row = 0;
  for (const text of rows) {
    if (gone.signal.aborted || response.destroyed) return;
    const room = response.write(text);
    if (!room) await once(response, "drain", { signal: gone.signal }).catch(() => undefined);
    if (++row % ROWS_AT_ONCE === 0) await otherWork();
  }
}

function* jsonRows(events: Iterable<LoggedEvent>): Generator<string> {
  let first = true;
  for (const event of events) {
    yield `${first ? "" : ","}\n${JSON.stringify(event)}`;
    first = false;
  }
}

function* csvRows(events: Iterable<LoggedEvent>): Generator<string> {
  for (const event of events) yield `${COLUMNS.map(([, value]) => cell(value(event))).join(",")}\r\n`;
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

/** RFC 4180 with a heading; no cell, nor a piece of one, can be taken for a formula. */
export async function logCsv(log: EventLog, query: LogQueryValues, response: Response): Promise<void> {
  response.type("text/csv; charset=utf-8");
  response.setHeader("Content-Disposition", attachment(query, "csv"));
  response.write(`${COLUMNS.map(([name]) => name).join(",")}\r\n`);
  await writeRows(response, csvRows(log.read(filterOf(query))));
  response.end();
}

/** What starts a formula, full-width forms among it, at the start of a cell. */
const FORMULA = /^(?=\s*[=+\-@\uFF1D\uFF0B\uFF0D\uFF20]|[\t\r])/;
/** The same after what some locales or settings take for the end of a cell, quoted or not. */
const FORMULA_AFTER_SEPARATOR = /((?:\r\n|[;\t\r\n])["']?)(?=["'\s]*[=+\-@\uFF1D\uFF0B\uFF0D\uFF20])/g;

/**
 * One cell. A spreadsheet of a semicolon locale cuts lines at `;` and opens no quotes in the
 * middle of what it has begun, so every piece is made harmless by an apostrophe, not the first alone.
 */
export function cell(value: unknown): string {
  if (value === null || value === undefined) return "";
  if (typeof value === "number") return String(value);
  const text = String(value).replace(FORMULA_AFTER_SEPARATOR, "$1'").replace(FORMULA, "'");
  return /[",;\t\r\n']/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
