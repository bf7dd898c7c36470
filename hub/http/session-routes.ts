/** Leads come and go: by the site's PIN, or by a one-time code that another lead shows them. */
import * as v from "valibot";
import { codeText, leadName, pinText } from "../../shared/fields/sign-in.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { CODE_LIFE_MS, EntryCodes } from "../site/entry-codes.ts";
import type { HubParts } from "./hub-parts.ts";
import { joinOrigin } from "./join-origin.ts";
import { type Reply, type Route, refusalReply, route } from "./route.ts";
import { knockOf, type SignInGuard, type SignInVerdict } from "./sign-in-guard.ts";

export const SIGN_IN_PATH = "/api/lead/session";
/** A sign-in is a few dozen bytes. */
export const MOST_SIGN_IN_BODY = "1kb";

const SignInSchema = v.pipe(
  v.strictObject({
    pin: v.optional(pinText),
    code: v.optional(codeText),
    name: v.optional(leadName, ""),
  }),
  v.forward(
    v.check(({ pin, code }) => (pin === undefined) !== (code === undefined), "or code must be given"),
    ["pin"],
  ),
);

export function sessionRoutes(parts: HubParts, guard: SignInGuard): Route[] {
  const { keys, clock, sockets } = parts;
  const codes = new EntryCodes();
  return [
    route({
      method: "post",
      path: SIGN_IN_PATH,
      access: "anyone",
      summary:
        "Signs a lead in with the site's PIN, or with a one-time code that another lead was given (POST /api/lead/code).",
      body: SignInSchema,
      answers: v.object({ token: v.string() }),
      handle: async ({ body, request }) => {
        const knock = knockOf(request);
        const { pin, code = "" } = body;
        const given = pin === undefined ? "code" : "pin";
        const verdict =
          pin === undefined ? await guard.code(knock, () => codes.take(code)) : await guard.pin(knock, pin);
        if (verdict !== "right") return refusedSignIn(given, verdict);
        const atWork = (hash: string) => sockets.isAtWork(hash);
        return { body: { token: keys.openSession(body.name || "lead", clock.now(), atWork) } };
      },
    }),
    route({
      method: "delete",
      path: SIGN_IN_PATH,
      access: "lead",
      summary: "Signs this lead out.",
      status: 204,
      handle: ({ caller }) => {
        const session = keys.session(caller.token);
        keys.closeSession(caller.token ?? "");
        if (session) sockets.signOut(session.hash);
        return {};
      },
    }),
    route({
      method: "delete",
      path: "/api/lead/sessions",
      access: "lead",
      summary: "Ends every other lead's session; this one stays.",
      answers: v.object({ ended: v.pipe(v.number(), v.integer()) }),
      handle: ({ caller }) => {
        const own = keys.session(caller.token);
        const ended = keys.closeOthers(own?.hash ?? null);
        for (const hash of ended) sockets.signOut(hash);
        return { body: { ended: ended.length } };
      },
    }),
    route({
      method: "post",
      path: "/api/lead/code",
      access: "lead",
      summary:
        "Makes a one-time code that lets another device sign in as lead: good once, for a few minutes. The code is in the address's fragment.",
      status: 201,
      answers: v.object({ code: v.string(), url: v.string(), endsAtUtcMs: v.number() }),
      handle: ({ request }) => {
        const code = codes.make();
        const origin = joinOrigin(parts, request.protocol, request.get("host"));
        return {
          body: { code, url: `${origin}/lead#code/${code}`, endsAtUtcMs: clock.now() + CODE_LIFE_MS },
        };
      },
    }),
  ];
}

function refusedSignIn(field: "pin" | "code", verdict: Exclude<SignInVerdict, "right">): Reply {
  if (verdict === "wrong") {
    const what = field === "pin" ? "the PIN is wrong" : "the code is wrong, used or too old";
    return refusalReply(refusal("not-signed-in", what, { field }));
  }
  const { waitS } = verdict;
  return refusalReply(refusal("too-many", `too many tries; try again in ${waitS} s`, { data: { waitS } }), {
    "Retry-After": String(waitS),
  });
}
