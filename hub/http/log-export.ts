/** The log as JSON and as a table, written row by row so that a long night fits in memory. */
import type { Response } from "express";
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

export function logJson(log: EventLog, query: LogQueryValues, response: Response): void {
  response.type("application/json");
  response.setHeader("Content-Disposition", attachment(query, "json"));
  response.write('{"events":[');
  let first = true;
  for (const event of log.read(filterOf(query))) {
    response.write(`${first ? "" : ","}\n${JSON.stringify(event)}`);
    first = false;
  }
  response.end("\n]}\n");
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
];

/** RFC 4180 with a heading; a cell that a spreadsheet could take for a formula gets a quote before it. */
export function logCsv(log: EventLog, query: LogQueryValues, response: Response): void {
  response.type("text/csv; charset=utf-8");
  response.setHeader("Content-Disposition", attachment(query, "csv"));
  response.write(`${COLUMNS.map(([name]) => name).join(",")}\r\n`);
  for (const event of log.read(filterOf(query))) {
    response.write(`${COLUMNS.map(([, value]) => cell(value(event))).join(",")}\r\n`);
  }
  response.end();
}

export function cell(value: unknown): string {
  if (value === null || value === undefined) return "";
  let text = String(value);
  if (typeof value !== "number" && /^[=+\-@\t\r]/.test(text)) text = `'${text}`;
  return /[",\r\n']/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
