/**
 * JSON read and written in steps, so that a plan of a hundred rigs (1.5 MB, and at most 6) holds
 * nobody up. What comes out is what JSON.parse and JSON.stringify give, errors included: they do the
 * work, on one item of a list at a time.
 */
import type { Steps } from "../../shared/eclipse/steps.ts";

/** Objects are taken apart this deep; below, only long lists are. */
const DEPTH = 3;
const LONG_LIST = 100;

/** The text of a value as JSON.stringify gives it; undefined for what JSON has no text for. */
export function* jsonText(value: unknown, depth = 0): Steps<string | undefined> {
  if (!isToBeTakenApart(value, depth)) return JSON.stringify(value);
  const parts: string[] = [];
  if (Array.isArray(value)) {
    for (const item of value) {
      parts.push((yield* jsonText(item, depth + 1)) ?? "null");
      yield;
    }
    return `[${parts.join(",")}]`;
  }
  for (const [key, item] of Object.entries(value)) {
    const text = yield* jsonText(item, depth + 1);
    if (text !== undefined) parts.push(`${JSON.stringify(key)}:${text}`);
    yield;
  }
  return `{${parts.join(",")}}`;
}

function isToBeTakenApart(value: unknown, depth: number): value is object {
  if (value === null || typeof value !== "object" || "toJSON" in value) return false;
  return depth < DEPTH || (Array.isArray(value) && value.length > LONG_LIST);
}

/** The value of a text, as JSON.parse gives it: lists that an object holds are read item by item. Throws SyntaxError. */
export function* jsonValue(text: string): Steps<unknown> {
  if (text[afterSpace(text, 0)] !== "{") return JSON.parse(text) as unknown;
  const members: [string, unknown][] = [];
  const end = yield* read(text, afterSpace(text, 0), "}", function* (from) {
    const keyEnd = endOfValue(text, from);
    const key: unknown = JSON.parse(text.slice(from, keyEnd));
    const colon = afterSpace(text, keyEnd);
    if (typeof key !== "string" || text[colon] !== ":") throw misplaced(text, colon);
    const start = afterSpace(text, colon + 1);
    const list: unknown[] = [];
    if (text[start] !== "[") {
      const valueEnd = endOfValue(text, start);
      members.push([key, JSON.parse(text.slice(start, valueEnd))]);
      return valueEnd;
    }
    members.push([key, list]);
    return yield* read(text, start, "]", function* (itemFrom) {
      const itemEnd = endOfValue(text, itemFrom);
      list.push(JSON.parse(text.slice(itemFrom, itemEnd)));
      yield;
      return itemEnd;
    });
  });
  const rest = afterSpace(text, end);
  if (rest < text.length) throw misplaced(text, rest);
  // A later member of the same name counts, and none is taken for the prototype.
  return Object.fromEntries(members);
}

/** Reads what stands between an opening and its closing sign, one `item` at a time; gives where it ends. */
function* read(
  text: string,
  open: number,
  close: "}" | "]",
  item: (from: number) => Steps<number>,
): Steps<number> {
  let at = afterSpace(text, open + 1);
  if (text[at] === close) return at + 1;
  for (;;) {
    at = afterSpace(text, yield* item(at));
    if (text[at] === close) return at + 1;
    if (text[at] !== ",") throw misplaced(text, at);
    at = afterSpace(text, at + 1);
  }
}

function afterSpace(text: string, from: number): number {
  let at = from;
  while (" \t\n\r".includes(text[at] ?? "x")) at++;
  return at;
}

const QUOTE = 0x22;
const BACKSLASH = 0x5c;

/** Where the value that begins here ends, as far as signs and quotes tell; JSON.parse judges what is in it. */
function endOfValue(text: string, from: number): number {
  let depth = 0;
  for (let at = from; at < text.length; at++) {
    const code = text.charCodeAt(at);
    if (code === QUOTE) {
      at = endOfString(text, at);
      if (depth === 0) return at + 1;
    } else if (code === 0x7b || code === 0x5b) {
      depth++;
    } else if (code === 0x7d || code === 0x5d) {
      if (depth === 0) return at;
      if (--depth === 0) return at + 1;
    } else if (depth === 0 && (code === 0x2c || code === 0x3a || code <= 0x20)) {
      return at;
    }
  }
  return text.length;
}

/** The closing quote of the string that opens here, or the text's end. */
function endOfString(text: string, open: number): number {
  for (let at = open + 1; at < text.length; at++) {
    const code = text.charCodeAt(at);
    if (code === BACKSLASH) at++;
    else if (code === QUOTE) return at;
  }
  return text.length;
}

function misplaced(text: string, at: number): SyntaxError {
  return new SyntaxError(at < text.length ? `unexpected ${text[at]} at ${at}` : "the text ends too early");
}
