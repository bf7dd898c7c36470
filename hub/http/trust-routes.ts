/**
 * What a phone needs to come to trust the hub: how it is reached, the local authority's
 * certificate to install, and leave for the hub's own plain-http pages to try its https address.
 */
import type { Request, RequestHandler, Response } from "express";
import * as v from "valibot";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { type SiteNetwork, TIERS } from "../network/site-network.ts";
import { type Route, refusalReply, route } from "./route.ts";

/** What both phones' systems take for a certificate to install (common practice, no source). */
const CERTIFICATE_TYPE = "application/x-x509-ca-cert";
const ROOT_PATH = "/trust/noonfall-root.crt";

interface TrustPorts {
  network: () => SiteNetwork;
  /** The authority's certificate in DER; undefined when the hub has none of its own. */
  authorityDer: () => Buffer | undefined;
}

export function trustRoutes({ network, authorityDer }: TrustPorts): Route[] {
  return [
    route({
      method: "get",
      path: "/api/reach",
      access: "anyone",
      summary: "Addresses of the hub by http and https, and what a phone must do to trust the second.",
      answers: v.object({
        origins: v.array(v.string()),
        secureOrigins: v.array(v.string()),
        tier: v.picklist(TIERS),
        authorityFingerprint: v.nullable(v.string()),
        names: v.array(v.string()),
      }),
      handle: () => ({ body: network() }),
    }),
    route({
      method: "get",
      path: ROOT_PATH,
      access: "anyone",
      summary: "The certificate (DER) of the hub's local authority, for a phone to install.",
      answersAs: CERTIFICATE_TYPE,
      handle: () => {
        const der = authorityDer();
        if (!der) return refusalReply(refusal("not-found", "this hub has no authority of its own"));
        return {
          headers: { "Content-Type": CERTIFICATE_TYPE },
          send: (response: Response) => void response.end(der),
        };
      },
    }),
  ];
}

/**
 * The trust page on plain http asks the https address for its health. That is another origin, so
 * the answer is marked readable for pages of this hub's own addresses, and for no others.
 */
export function allowHealthCheck(isOurHost: (host: string | undefined) => boolean): RequestHandler {
  return (request: Request, response: Response, next) => {
    const { origin } = request.headers;
    response.vary("Origin");
    if (origin !== undefined && isOurHost(hostOf(origin))) {
      response.setHeader("Access-Control-Allow-Origin", origin);
    }
    next();
  };
}

function hostOf(origin: string): string | undefined {
  try {
    return new URL(origin).host;
  } catch {
    return undefined;
  }
}
