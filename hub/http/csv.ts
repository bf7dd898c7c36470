/** Tables as the hub hands them out: RFC 4180, and no cell, nor a piece of one, can be taken for a formula. */
import type { Response } from "express";

/**
 * Answers with a whole table, to be saved under a name. "marked": with the byte order mark by which a
 * spreadsheet takes a file that a person opens for UTF-8; without it the accents of names are spoilt.
 */
export function sendTable(
  response: Response,
  name: string,
  rows: Iterable<readonly unknown[]>,
  form: "plain" | "marked" = "plain",
): void {
  response.type("text/csv; charset=utf-8");
  response.setHeader("Content-Disposition", `attachment; filename="${name}"`);
  response.end((form === "marked" ? "\uFEFF" : "") + Array.from(rows, csvRow).join(""));
}

export function csvRow(values: readonly unknown[]): string {
  return `${values.map(cell).join(",")}\r\n`;
}

/** Text as part of a download's name (RFC 6266): only characters that every file system takes. */
export function inFileName(text: string): string {
  return text.replace(/[^A-Za-z0-9_-]/g, "-");
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
