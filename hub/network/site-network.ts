/**
 * How phones reach the hub: plain http by address, always; https where the certificate covers a
 * name or address that phones can open. Pure over what the machine and the certificate say.
 */
import { isIP } from "node:net";
import { type Interfaces, listUrls, siteUrl } from "./addresses.ts";
import type { SiteCertificate } from "./certificate-store.ts";

export const TIERS = ["own certificate", "local authority", "none"] as const;
type Tier = (typeof TIERS)[number];

export interface SiteNetwork {
  /** For joining by anyone, best first, e.g. "http://192.168.1.4:8620". */
  origins: string[];
  /** The same hub by https, best first; empty where the certificate covers no address of ours. */
  secureOrigins: string[];
  /** Whose word a phone has to take for https: a public authority's, this hub's own, or nobody's. */
  tier: Tier;
  /** SHA-256 of the local authority's certificate, to compare on the phone; null in other tiers. */
  authorityFingerprint: string | null;
  /** Names and addresses that the certificate covers. */
  names: string[];
}

export function siteNetwork(
  interfaces: Interfaces,
  certificate: SiteCertificate | undefined,
  at: { port: number; host?: string | undefined },
): SiteNetwork {
  const origins = listUrls(interfaces, { ...at, scheme: "http" });
  if (!certificate) {
    return { origins, secureOrigins: [], tier: "none", authorityFingerprint: null, names: [] };
  }
  const { kind, hosts, authority } = certificate;
  const covered = listUrls(interfaces, { ...at, scheme: "https" }).filter((url) =>
    covers(hosts, hostIn(url)),
  );
  // A group with a certificate has given its name to this laptop in its router or the internet.
  const named = kind === "own" ? hosts.filter((host) => isIP(host) === 0 && !host.startsWith("*.")) : [];
  return {
    origins,
    secureOrigins: [...new Set([...named.map((host) => siteUrl(host, at.port, "https")), ...covered])],
    tier: kind === "own" ? "own certificate" : "local authority",
    authorityFingerprint: authority?.sha256 ?? null,
    names: hosts,
  };
}

function hostIn(url: string): string {
  return new URL(url).hostname.replace(/^\[|\]$/g, "");
}

/** A wildcard stands for one label (RFC 6125, 6.4.3). */
function covers(hosts: readonly string[], host: string): boolean {
  return (
    hosts.includes(host) || (host.includes(".") && hosts.includes(`*.${host.slice(host.indexOf(".") + 1)}`))
  );
}
