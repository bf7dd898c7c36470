/** The body of a request, read as JSON in pieces: a whole plan has megabytes. Answers as express.json does. */
import express, { type RequestHandler } from "express";
import { withRests } from "../with-rests.ts";
import { jsonValue } from "./json-steps.ts";

/** `limit` as express takes it, e.g. "6mb". */
export function planBody(limit: string): RequestHandler[] {
  const text = express.text({ type: "application/json", inflate: false, limit, defaultCharset: "utf-8" });
  const read: RequestHandler = (request, _response, next) => {
    if (typeof request.body !== "string") return next();
    withRests(jsonValue(request.body || "{}")).then(
      (value) => {
        if (value === null || typeof value !== "object") return next(notJson());
        request.body = value;
        next();
      },
      () => next(notJson()),
    );
  };
  return [text, read];
}

function notJson(): Error {
  return Object.assign(new Error("body is not valid JSON"), { type: "entity.parse.failed", status: 400 });
}
