/** What the trust page says of a phone and a hub. Pure. */

import type { NetworkAnswer } from "../link/network-answer.ts";

/** How this very page came. */
export type Now = "http" | "unverified" | "trusted" | "own" | "checking";

/** What the browser says of itself. */
export interface Browser {
  protocol: string;
  secureContext: boolean;
  /** How the page opens with the hub gone (console/offline/keep-at-hand.ts). */
  opens: "not yet" | "by reload" | "by address";
  wakeLock: boolean;
  geolocation: boolean;
}

export type Has = "yes" | "no" | "wait";
export type Gain = "cues" | "reload" | "screen" | "install" | "place";

/**
 * Whether a certificate was clicked through shows in one thing only: browsers refuse a service
 * worker then (measured in Chromium), so that the page opens "by address" at best.
 */
export function nowOf({ protocol, secureContext, opens }: Browser): Now {
  if (protocol !== "https:") return secureContext ? "own" : "http";
  if (opens === "by reload") return "trusted";
  return opens === "by address" ? "unverified" : "checking";
}

export function gainsOf(browser: Browser): Array<[gain: Gain, has: Has]> {
  const reload: Has =
    browser.opens === "by reload"
      ? "yes"
      : browser.secureContext && browser.opens === "not yet"
        ? "wait"
        : "no";
  const yes = (has: boolean): Has => (has ? "yes" : "no");
  return [
    ["cues", "yes"],
    ["reload", reload],
    ["screen", yes(browser.secureContext && browser.wakeLock)],
    ["install", reload],
    ["place", yes(browser.secureContext && browser.geolocation)],
  ];
}

/**
 * Whether a page opened at `host` (with its port) may ask that address how it is reached: a page's
 * security policy has no way to name an IPv6 address but its own (CSP level 3, host-source).
 */
export function canAsk(origin: string, host: string): boolean {
  const to = new URL(origin);
  return !to.hostname.startsWith("[") || to.host === host;
}

/** The https address to go on at: the one of this very host, else the hub's best that can be tried from here. */
export function secureOriginFor(hostname: string, host: string, network: NetworkAnswer): string | null {
  const { secureOrigins } = network;
  const same = secureOrigins.find((origin) => new URL(origin).hostname === hostname);
  return same ?? secureOrigins.find((origin) => canAsk(origin, host)) ?? secureOrigins[0] ?? null;
}

/** The rig page there, with the same rigs. */
export function rigUrl(origin: string, rigs: readonly { id: string; token: string }[]): string {
  const fragment = rigs.map(({ id, token }) => `${id}.${token}`).join("&");
  return `${origin}/rig${fragment && `#${fragment}`}`;
}

/** A fingerprint in lines of 8 bytes, to be compared by eye. */
export function fingerprintLines(sha256: string): string[] {
  const bytes = sha256.split(":");
  return [0, 8, 16, 24].map((from) => bytes.slice(from, from + 8).join(" "));
}

/** Which steps to show first. */
export function kindOfPhone(userAgent: string): "iphone" | "android" {
  return /iPhone|iPad|Macintosh/.test(userAgent) ? "iphone" : "android";
}
