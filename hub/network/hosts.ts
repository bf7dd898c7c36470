/**
 * Which names in a Host header are this hub's own, and which pages may open a socket to it.
 *
 * Without this, a page on the internet could have its own name resolve to the hub's address and
 * talk to the hub with a visitor's browser (DNS rebinding). Names under .local cannot be had on
 * the internet (RFC 6762), so all of them are let through.
 */
import { isIP } from "node:net";
import { hostname, networkInterfaces } from "node:os";
import { ownAddresses } from "./addresses.ts";
import { scopeOf } from "./ip.ts";

export interface OwnHosts {
  /** IP addresses in text, without brackets and zones. */
  addresses: ReadonlySet<string>;
  /** Lower case. A name that begins with "*." stands for any one label in front. */
  names: ReadonlySet<string>;
}

const CACHE_MS = 2000;

/**
 * Looks the machine's addresses up anew every two seconds at most: laptops change networks.
 * `extraNames` are those of the group's own certificate and of --host.
 */
export function ownHosts(
  extraNames: readonly string[] = [],
  machine = { networkInterfaces, hostname, monoMs: () => performance.now() },
): () => OwnHosts {
  let known: OwnHosts | undefined;
  let readAtMs = 0;
  return () => {
    const nowMs = machine.monoMs();
    if (!known || nowMs - readAtMs > CACHE_MS) {
      const names = [machine.hostname(), ...extraNames.filter((name) => isIP(name) === 0)];
      const addresses = [
        ...ownAddresses(machine.networkInterfaces()),
        ...extraNames.filter((name) => isIP(name) !== 0),
      ];
      known = {
        addresses: new Set(addresses.map((address) => address.toLowerCase())),
        names: new Set(names.map((name) => name.toLowerCase())),
      };
      readAtMs = nowMs;
    }
    return known;
  };
}

/** Whether a Host header (with or without port) names this hub. A missing or odd one does not. */
export function isOwnHost(header: string | undefined, own: OwnHosts): boolean {
  const host = hostOf(header);
  if (host === undefined) return false;
  if (isIP(host) !== 0) return own.addresses.has(host) || scopeOf(host) === "loopback";
  if (host === "localhost" || host.endsWith(".local")) return true;
  if (own.names.has(host)) return true;
  return own.names.has(`*.${host.slice(host.indexOf(".") + 1)}`) && host.includes(".");
}

/**
 * Whether a request with this Origin may open a socket. Programs send none and may; a browser's
 * must be the very page this hub served: same host and port as the Host header.
 */
export function isOwnOrigin(
  origin: string | undefined,
  hostHeader: string | undefined,
  own: OwnHosts,
): boolean {
  if (!isOwnHost(hostHeader, own)) return false;
  if (origin === undefined) return true;
  try {
    const { protocol, host } = new URL(origin);
    if (protocol !== "http:" && protocol !== "https:") return false;
    return host === new URL(`${protocol}//${hostHeader}`).host;
  } catch {
    return false;
  }
}

/** The host of a Host header, lower case, without port, brackets and a final dot. */
function hostOf(header: string | undefined): string | undefined {
  if (!header || /[\s/@\\?#]/.test(header)) return undefined;
  const match = /^(?:\[([0-9a-fA-F:.]+)\]|([^:[\]]+))(?::\d{1,5})?$/.exec(header);
  const host = (match?.[1] ?? match?.[2])?.toLowerCase();
  return host?.replace(/\.$/, "");
}
