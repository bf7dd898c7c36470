/**
 * A route is data: method, path, who may call it, the schemas that parse what comes in, and the
 * handler. The same data makes Express serve it and /api/openapi.json describe it.
 *
 * Order of checks: who calls (401), size (413), form (400 with the field), then the state.
 */
import type { Express, NextFunction, Request, Response } from "express";
import type * as v from "valibot";
import { parse } from "../../shared/run/orders/commands.ts";
import { type Refusal, type RefusalCode, refusal } from "../../shared/run/orders/refusal.ts";
import { withRests } from "../with-rests.ts";
import { jsonText } from "./json-steps.ts";

export type Access = "anyone" | "lead" | "rig" | "marshal";

export interface Caller {
  /** Bearer token as sent. */
  token: string | undefined;
  /** For a lead: who, and the sender id of its commands. */
  actor: string;
  sender: string;
  /** For a rig: its link was replaced since. What it had queued is still taken, and marked (SPEC L8). */
  revoked?: boolean;
}

export interface Call<Query, Body> {
  query: Query;
  body: Body;
  params: Record<string, string>;
  caller: Caller;
  request: Request;
  response: Response;
}

export interface Reply {
  status?: number;
  body?: unknown;
  headers?: Record<string, string>;
  /** For anything but JSON. */
  send?: (response: Response) => void | Promise<void>;
}

export interface Route {
  method: "get" | "post" | "put" | "delete";
  /** Express path, e.g. /api/rigs/:id/link. */
  path: string;
  access: Access;
  summary: string;
  query?: v.GenericSchema;
  body?: v.GenericSchema;
  /** Parses what `body` describes in its own way, where that takes long. */
  parseBody?: (input: unknown) => Promise<{ ok: true; value: unknown } | { ok: false; refusal: Refusal }>;
  /** Asked before anything is read of the body; an answer here is the whole answer. */
  before?: (caller: Caller, params: Record<string, string>) => Reply | undefined;
  /** The body is taken as bytes instead of JSON. */
  rawBody?: boolean;
  /** What a good answer holds. */
  answers?: v.GenericSchema;
  answersAs?: string;
  /** Status of a good answer; 200 unless said. */
  status?: 201 | 202 | 204;
  /** Headers that are looked at, and what they mean. */
  headers?: Record<string, string>;
  handle: (call: Call<never, never>) => Reply | Promise<Reply>;
}

/** Keeps the types of query and body together with the schemas. */
export function route<Query extends v.GenericSchema, Body extends v.GenericSchema>(
  definition: Omit<Route, "query" | "body" | "handle"> & {
    query?: Query;
    body?: Body;
    handle: (call: Call<v.InferOutput<Query>, v.InferOutput<Body>>) => Reply | Promise<Reply>;
  },
): Route {
  return definition as unknown as Route;
}

type Authorise = (access: Access, request: Request) => Caller | Refusal;

export function serve(app: Express, routes: readonly Route[], authorise: Authorise): void {
  for (const item of routes) {
    app[item.method](item.path, async (request: Request, response: Response, next: NextFunction) => {
      try {
        response.setHeader("Cache-Control", "no-store");
        const caller = authorise(item.access, request);
        if ("code" in caller) return refuse(response, caller);
        if (item.body && !item.rawBody && request.body === undefined) {
          return refuse(
            response,
            refusal("bad-input", "body must be JSON (Content-Type: application/json)", { field: "body" }),
          );
        }
        // Valibot takes a list for an object without entries.
        if (item.body && !item.rawBody && Array.isArray(request.body)) {
          return refuse(response, refusal("bad-input", "body must be a JSON object", { field: "body" }));
        }
        const query = item.query ? parse(item.query, request.query) : { ok: true as const, value: undefined };
        if (!query.ok) return refuse(response, query.refusal);
        const body =
          item.body && !item.rawBody
            ? await (item.parseBody?.(request.body) ?? parse(item.body, request.body))
            : { ok: true as const, value: request.body as unknown };
        if (!body.ok) return refuse(response, body.refusal);
        const reply = await item.handle({
          query: query.value as never,
          body: body.value as never,
          params: request.params as Record<string, string>,
          caller,
          request,
          response,
        });
        await send(response, reply, item.status);
      } catch (error) {
        next(error);
      }
    });
  }
}

export async function send(response: Response, reply: Reply, status = 200): Promise<void> {
  for (const [name, value] of Object.entries(reply.headers ?? {})) response.setHeader(name, value);
  response.status(reply.status ?? status);
  if (reply.send) await reply.send(response);
  else if (reply.body === undefined) response.end();
  else {
    const text = await withRests(jsonText(reply.body));
    if (!response.get("Content-Type")) response.type("json");
    response.send(text);
  }
}

const STATUS: Partial<Record<RefusalCode, number>> = {
  "bad-input": 400,
  "no-such-contact": 400,
  "eclipse-unknown": 400,
  "not-signed-in": 401,
  "not-allowed": 403,
  "not-found": 404,
  "stale-plan": 409,
  "reused-id": 409,
  "no-site": 409,
  "contact-passed": 409,
  taken: 409,
  "no-practice": 409,
  "too-close-to-eclipse": 409,
  "too-early": 409,
  "safety-rule": 400,
  "needs-acknowledgement": 400,
  "too-large": 413,
  "too-many": 429,
  protocol: 400,
  internal: 500,
};

/** The one form of an error: {error: {code, message, field?, rule?, data?}}. */
export function refuse(response: Response, why: Refusal, headers: Record<string, string> = {}): void {
  for (const [name, value] of Object.entries(headers)) response.setHeader(name, value);
  response.status(STATUS[why.code] ?? 400).json({ error: why });
}

export function refusalReply(why: Refusal, headers: Record<string, string> = {}): Reply {
  return { status: STATUS[why.code] ?? 400, body: { error: why }, headers };
}
