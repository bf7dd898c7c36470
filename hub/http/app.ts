/**
 * The Express application: guards first, then the interface, then the pages. Pages are files
 * built ahead (build/console), served compressed; what has a hash in its name is immutable.
 */
import { existsSync } from "node:fs";
import type { IncomingMessage } from "node:http";
import { join } from "node:path";
import express, { type ErrorRequestHandler, type Express, type Request, type RequestHandler } from "express";
import helmet from "helmet";
import sirv from "sirv";
import { ownValue } from "../../shared/fields/own-key.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { embedHosts } from "../feeds/embed-hosts.ts";
import { frameAncestors } from "./board-headers.ts";
import { cameraClockRoutes } from "./camera-clock-routes.ts";
import { candidateRoutes } from "./candidate-routes.ts";
import { chartRoutes } from "./chart-routes.ts";
import { contactRoutes } from "./contact-routes.ts";
import { countInRoutes } from "./count-in-routes.ts";
import { crowdRoutes } from "./crowd-routes.ts";
import type { HubParts } from "./hub-parts.ts";
import { imageRoutes } from "./image-routes.ts";
import { leadRoutes } from "./lead-routes.ts";
import { marshalRoutes } from "./marshal-routes.ts";
import { openRoutes } from "./open-routes.ts";
import { openApi, planSchema } from "./openapi.ts";
import { planBody } from "./plan-body.ts";
import { planRoutes } from "./plan-routes.ts";
import { practiceRoutes } from "./practice-routes.ts";
import { reviewRoutes } from "./review-routes.ts";
import { rigRoutes } from "./rig-routes.ts";
import { type Access, type Caller, type Route, refuse, route, send, serve } from "./route.ts";
import { MOST_SIGN_IN_BODY, SIGN_IN_PATH, sessionRoutes } from "./session-routes.ts";
import { knockOf, SignInGuard } from "./sign-in-guard.ts";
import { thumbnailRoutes } from "./thumbnail-routes.ts";
import { allowHealthCheck } from "./trust-routes.ts";
import { wifiRoutes } from "./wifi-routes.ts";

const MOST_BODY = "1mb";
/** A hundred rigs with all that they may have set, and three variants of each, have some 1.5 MB. */
const MOST_PLAN_BODY = "6mb";
/** A report with all that it may hold has some 4 kB. */
const MOST_REPORT_BODY = "32kb";

interface AppOptions {
  /** Folder of the built pages. */
  pagesDir: string;
  /** Whether a Host header is one of ours. */
  isOurHost: (host: string | undefined) => boolean;
  /** The hub's https addresses: the trust page may try them. */
  secureOrigins: () => string[];
  /** Routes of other rooms (clock, site file, reach). */
  more?: readonly Route[];
  onError: (error: unknown) => void;
}

export function createApp(parts: HubParts, options: AppOptions): Express {
  const app = express();
  app.disable("x-powered-by");
  app.set("query parser", "simple");
  const guard = new SignInGuard((pin) => parts.keys.checkPin(pin));
  app.post(SIGN_IN_PATH, fewAtOnce(guard));
  app.use((request, response, next) => {
    if (options.isOurHost(request.headers.host)) return next();
    refuse(response, refusal("bad-input", "Host is not a name or address of this hub", { field: "Host" }));
  });
  app.use(
    helmet({
      contentSecurityPolicy: {
        directives: {
          defaultSrc: ["'self'"],
          scriptSrc: ["'self'", (request: IncomingMessage) => compiledSources(request.url ?? "")],
          styleSrc: ["'self'", "'unsafe-inline'"],
          imgSrc: ["'self'", "data:", "blob:"],
          mediaSrc: ["'self'", "data:", "blob:"],
          frameAncestors: [
            (request: IncomingMessage) =>
              /^\/board\/?(\?|$)/.test(request.url ?? "") ? frameAncestors(embedHosts(parts.log)) : "'self'",
          ],
          connectSrc: [
            (request: IncomingMessage) =>
              connectSources(request.url ?? "", request.headers.host, options.secureOrigins()),
          ],
          // On plain http this would send phones to a port nobody answers.
          upgradeInsecureRequests: null,
        },
      },
      // Never HSTS: the next site's hub at this address may have no certificate.
      strictTransportSecurity: false,
      crossOriginOpenerPolicy: false,
      originAgentCluster: false,
      referrerPolicy: { policy: "no-referrer" },
    }),
  );
  app.get("/api/health", allowHealthCheck(options.isOurHost));
  const authorise = authoriser(parts);
  const routes: Route[] = [
    ...openRoutes(parts),
    ...chartRoutes(parts),
    ...sessionRoutes(parts, guard),
    ...leadRoutes(parts),
    ...practiceRoutes(parts),
    ...reviewRoutes(parts),
    ...cameraClockRoutes(parts),
    ...countInRoutes(parts),
    ...contactRoutes(parts),
    ...imageRoutes(parts),
    ...thumbnailRoutes(parts),
    ...wifiRoutes(parts),
    ...crowdRoutes(parts),
    ...marshalRoutes(parts),
    ...planRoutes(parts),
    ...candidateRoutes(parts),
    ...rigRoutes(parts),
    ...(options.more ?? []),
  ];
  routes.push(
    route({
      method: "get",
      path: "/api/plan.schema.json",
      access: "anyone",
      summary: "JSON Schema of what PUT /api/plan takes.",
      handle: () => ({ body: planSchema() }),
    }),
    route({
      method: "get",
      path: "/api/openapi.json",
      access: "anyone",
      summary: "This description.",
      handle: () => ({ body: openApi(routes, parts.version) }),
    }),
  );
  // 401 comes before anything is read of the body.
  for (const item of routes) {
    if (item.access === "anyone" || !(item.body || item.rawBody)) continue;
    app[item.method](item.path, (request, response, next) => {
      const caller = authorise(item.access, request);
      if ("code" in caller) return refuse(response, caller, { "WWW-Authenticate": "Bearer" });
      const answer = item.before?.(caller, request.params as Record<string, string>);
      if (answer) void send(response, answer);
      else next();
    });
  }
  // Compressed bodies are not taken: a few kB of them may unpack to hundreds of MB.
  const json = { strict: true, type: "application/json", inflate: false };
  app.use(SIGN_IN_PATH, express.json({ ...json, limit: MOST_SIGN_IN_BODY }));
  app.use("/api/rigs", express.json({ ...json, limit: MOST_REPORT_BODY }));
  app.use("/api/plan", ...planBody(MOST_PLAN_BODY));
  app.use("/api", express.json({ ...json, limit: MOST_BODY }));
  serve(app, routes, authorise);
  app.use("/api", (_request, response) => {
    refuse(response, refusal("not-found", "no such address in the interface; see /api/openapi.json"));
  });
  servePages(app, options.pagesDir);
  app.use(errorHandler(options.onError));
  return app;
}

/** The cheapest answer there is, before anything else is done for who pipelines sign-ins. */
function fewAtOnce(guard: SignInGuard): RequestHandler {
  const body = JSON.stringify({ error: refusal("too-many", "one sign-in at a time; try again in 1 s") });
  return (request, response, next) => {
    const knock = knockOf(request);
    if (!guard.arrives(knock)) {
      response.writeHead(429, { "Content-Type": "application/json", "Retry-After": "1" }).end(body);
      return;
    }
    response.once("close", () => guard.left(knock));
    next();
  };
}

function authoriser({ keys, keeper, marshals }: HubParts) {
  return (access: Access, request: Request): Caller | ReturnType<typeof refusal> => {
    const token = /^Bearer (\S+)$/i.exec(request.get("Authorization") ?? "")?.[1];
    if (access === "anyone") return { token, actor: "anyone", sender: "anyone" };
    if (access === "lead") {
      const session = keys.session(token);
      if (!session)
        return refusal("not-signed-in", "sign in as lead: POST /api/lead/session, then send the token");
      return { token, actor: `lead:${session.name}`, sender: `lead:${session.hash.slice(0, 12)}` };
    }
    if (access === "marshal") {
      if (keys.isMarshalToken(token ?? "", marshals.generation))
        return { token, actor: "marshal", sender: "marshal" };
      return refusal("not-signed-in", "the token is not the marshals' of now");
    }
    const rigId = String(request.params.id ?? "");
    const verdict = keys.checkRigToken(rigId, token ?? "", ownValue(keeper.state.generations, rigId) ?? 0);
    if (!verdict.ok) return refusal("not-signed-in", "the token is not this rig's");
    return { token, actor: `rig:${rigId}`, sender: `http:${rigId}`, revoked: verdict.revoked };
  };
}

const PAGES = ["lead", "rig", "board", "marshal", "trust", "clock", "drill"] as const;

/** How long a phone on plain http may open the rig page by its address without asking the hub, s. */
const RIG_PAGE_KEPT_S = 12 * 3600;

/**
 * The rig page on plain http has no service worker. Of all that Cache-Control can say, Chromium
 * opens a page by its address with the hub dead only within max-age: stale-while-revalidate and
 * stale-if-error do nothing for a page. A reload asks the hub whatever is said here, and the page
 * renews its own copy while it is linked (console/offline), so that no phone keeps an old build.
 */
function cacheControl(path: string): string {
  if (path.includes("/assets/")) return "public, max-age=31536000, immutable";
  if (/[\\/](rig|drill)[\\/]index\.html$/.test(path)) return `private, max-age=${RIG_PAGE_KEPT_S}`;
  return "no-cache";
}

function servePages(app: Express, dir: string): void {
  const files = existsSync(dir)
    ? sirv(dir, {
        etag: true,
        gzip: true,
        brotli: true,
        dotfiles: false,
        setHeaders(response, path) {
          response.setHeader("Cache-Control", cacheControl(path));
          if (path.endsWith("sw.js")) response.setHeader("Service-Worker-Allowed", "/");
        },
      })
    : undefined;
  app.get("/", (_request, response) => response.redirect(302, "/board"));
  for (const page of PAGES) {
    app.get([`/${page}`, `/${page}/`], (request, response, next) => {
      if (!existsSync(join(dir, page, "index.html"))) return next();
      request.url = `/${page}/index.html`;
      files?.(request, response, next);
    });
  }
  if (files) app.use(files);
  app.use((_request, response) => {
    response
      .status(404)
      .type("text/plain")
      .send("Nothing here. The pages are /board, /rig (by the rig's link), /clock, /trust and /lead.\n");
  });
}

/**
 * Whom a page may speak to: this hub at the address it was opened at, and from the trust page at
 * its https addresses. Sockets are named beside 'self', which in older browsers does not include
 * them. A policy has no way to name an IPv6 address (CSP level 3, host-source): there 'self' alone
 * must do, which stands for https and sockets at the same host and port, too (CSP level 3, 6.7.2.8).
 */
export function connectSources(
  path: string,
  host: string | undefined,
  secureOrigins: readonly string[],
): string {
  const isTrustPage = /^\/trust\/?(\?|$)/.test(path);
  const sockets = host ? [`ws://${host}`, `wss://${host}`] : [];
  const named = [...sockets, ...(isTrustPage ? secureOrigins : [])].filter((source) => !source.includes("["));
  return ["'self'", ...new Set(named)].join(" ");
}

/**
 * Who may compile WebAssembly: the worker that decodes codes in photographs, by the policy of its own
 * script (CSP level 3, 2.2: a worker's policy comes with its response), and no page.
 */
export function compiledSources(path: string): string {
  return /^\/assets\/decode-worker-[\w-]+\.js$/.test(path) ? "'wasm-unsafe-eval'" : "'self'";
}

function errorHandler(onError: (error: unknown) => void): ErrorRequestHandler {
  return (
    error: { type?: string; status?: number; message?: string; limit?: number },
    _request,
    response,
    _next,
  ) => {
    if (response.headersSent) {
      response.destroy();
      return;
    }
    if (error.type === "entity.too.large") {
      return refuse(
        response,
        refusal("too-large", `the body may have at most ${error.limit} bytes`, { field: "body" }),
      );
    }
    if (error.type === "encoding.unsupported") {
      const message = "the body must not be compressed (no Content-Encoding)";
      return refuse(response, refusal("bad-input", message, { field: "Content-Encoding" }));
    }
    if (error.type === "entity.parse.failed") {
      return refuse(response, refusal("bad-input", "body is not valid JSON", { field: "body" }));
    }
    if (error.status && error.status < 500) {
      return refuse(
        response,
        refusal("bad-input", error.message ?? "the request is not valid", { field: "request" }),
      );
    }
    onError(error);
    refuse(response, refusal("internal", "the hub failed at this request; it did nothing"));
  };
}
