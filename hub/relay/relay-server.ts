/**
 * What a relay answers: the board's page and its files, the newest document, the time, and how it
 * does itself. Plain Node: of all that a request costs, most is Node's own (33 µs).
 *
 * Behind nginx or a content network everything but the time may be kept by caches; the time never.
 */
import { existsSync, readFileSync } from "node:fs";
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import { join } from "node:path";
import { brotliCompressSync, gzipSync } from "node:zlib";
import sirv from "sirv";
import { hasIt } from "../entity-tag.ts";
import { RELAY_HEADER, RELAY_PATH_HEADER, type RelayWord, readRelayWord } from "../feeds/relay-word.ts";
import { BOARD_CACHE, boardPolicy } from "../http/board-headers.ts";
import { type BoardHolder, type Coding, codingFor } from "./held-board.ts";
import type { Looks } from "./looks.ts";

const PAGE_CACHE = "public, max-age=30";
const ASSET_CACHE = "public, max-age=31536000, immutable";
/** Who comes when there is no board yet asks again after so long, s. */
const EMPTY_AGAIN_S = "3";
const MOST_HEADER_BYTES = 8192;
/** Whoever dawdles over a question holds a connection for ten seconds and this, ms (Node's own: thirty more). */
const CHECK_EVERY_MS = 5000;

type Answer = (request: IncomingMessage, response: ServerResponse) => void;

export interface RelayServerPorts {
  holder: BoardHolder;
  looks: Looks;
  /** How often a board comes just now, ms. */
  gapMs: () => number;
  /** Folder of the built pages. */
  pagesDir: string;
  stamp: () => { utcMs: number; boundMs: number };
  /** A relay behind this one has said something of itself. */
  heardRelay: (word: RelayWord) => void;
  /** Ids of those through whom the board has come, this relay's own last. */
  path: () => readonly string[];
  health: () => object;
}

export function createRelayServer(ports: RelayServerPorts): Server {
  const page = boardPage(ports.pagesDir);
  const files = sirv(join(ports.pagesDir, "assets"), {
    etag: true,
    gzip: true,
    brotli: true,
    dotfiles: false,
    setHeaders: (response) => response.setHeader("Cache-Control", ASSET_CACHE),
  });
  const board: Answer = (request, response) => sendPage(request, response, page, ports.holder);
  const answers: Record<string, Answer | undefined> = Object.assign(Object.create(null), {
    "/api/board": (request, response) => sendBoard(request, response, ports),
    "/api/time": (request, response) => sendTime(request, response, ports),
    "/api/health": (_request, response) => sendJson(response, ports.health()),
    "/board": board,
    "/board/": board,
  } satisfies Record<string, Answer>);
  const options = { maxHeaderSize: MOST_HEADER_BYTES, connectionsCheckingInterval: CHECK_EVERY_MS };
  const server = createServer(options, (request, response) => {
    response.setHeader("X-Content-Type-Options", "nosniff");
    if (request.method !== "GET" && request.method !== "HEAD") {
      response.writeHead(405, { Allow: "GET, HEAD" }).end();
      return;
    }
    const path = (request.url ?? "/").split("?", 1)[0] ?? "/";
    const answer = answers[path];
    if (answer) {
      answer(request, response);
      return;
    }
    if (path === "/") {
      response.writeHead(302, { Location: "/board", "Cache-Control": PAGE_CACHE }).end();
      return;
    }
    if (path.startsWith("/assets/")) {
      request.url = path.slice("/assets".length);
      return files(request, response, () => nothing(response));
    }
    nothing(response);
  });
  // Phones that fetch every ten seconds keep their connection meanwhile.
  server.keepAliveTimeout = 30_000;
  server.headersTimeout = 10_000;
  server.requestTimeout = 10_000;
  // Who takes nothing of an answer, or says nothing more.
  server.timeout = 60_000;
  return server;
}

function sendBoard(request: IncomingMessage, response: ServerResponse, ports: RelayServerPorts): void {
  const word = readRelayWord(request.headers[RELAY_HEADER.toLowerCase()]);
  if (word) ports.heardRelay(word);
  else ports.looks.noteBoard(ports.gapMs());
  response.setHeader(RELAY_PATH_HEADER, ports.path().join(" "));
  const held = ports.holder.current;
  if (!held) {
    response.writeHead(503, { "Retry-After": EMPTY_AGAIN_S, "Cache-Control": "no-store" }).end();
    return;
  }
  response.setHeader("ETag", held.etag);
  response.setHeader("Cache-Control", BOARD_CACHE);
  response.setHeader("Vary", "Accept-Encoding");
  if (hasIt(request.headers["if-none-match"], held.etag)) {
    response.writeHead(304).end();
    return;
  }
  sendCoded(request, response, "application/json; charset=utf-8", held.bodies);
}

function sendTime(request: IncomingMessage, response: ServerResponse, ports: RelayServerPorts): void {
  // A board's first questions come at once; by the later ones it is counted.
  if (request.url?.includes("?minute")) ports.looks.noteTime();
  const { utcMs, boundMs } = ports.stamp();
  response.writeHead(200, { "Content-Type": "application/json", "Cache-Control": "no-store" });
  response.end(JSON.stringify({ utcMs, boundMs }));
}

function sendPage(
  request: IncomingMessage,
  response: ServerResponse,
  page: Record<Coding, Buffer> | undefined,
  holder: BoardHolder,
): void {
  if (!page) {
    nothing(response);
    return;
  }
  response.setHeader("Content-Security-Policy", boardPolicy(holder.current?.document.embed ?? []));
  response.setHeader("Referrer-Policy", "no-referrer");
  response.setHeader("Cache-Control", PAGE_CACHE);
  response.setHeader("Vary", "Accept-Encoding");
  sendCoded(request, response, "text/html; charset=utf-8", page);
}

function sendCoded(
  request: IncomingMessage,
  response: ServerResponse,
  type: string,
  bodies: Record<Coding, Buffer>,
): void {
  const coding = codingFor(request.headers["accept-encoding"]);
  const body = bodies[coding];
  if (coding !== "identity") response.setHeader("Content-Encoding", coding);
  response.writeHead(200, { "Content-Type": type, "Content-Length": body.length });
  response.end(request.method === "HEAD" ? undefined : body);
}

function sendJson(response: ServerResponse, body: object): void {
  response.writeHead(200, { "Content-Type": "application/json", "Cache-Control": "no-store" });
  response.end(JSON.stringify(body));
}

function nothing(response: ServerResponse): void {
  response.writeHead(404, { "Content-Type": "text/plain", "Cache-Control": "public, max-age=5" });
  response.end("Nothing here. The board is at /board.\n");
}

/** The board's page as the hub has it, told to fetch instead of opening a socket. */
function boardPage(pagesDir: string): Record<Coding, Buffer> | undefined {
  const file = join(pagesDir, "board", "index.html");
  if (!existsSync(file)) return undefined;
  const identity = Buffer.from(readFileSync(file, "utf8").replace("<html ", '<html data-way="fetch" '));
  return { identity, gzip: gzipSync(identity), br: brotliCompressSync(identity) };
}
