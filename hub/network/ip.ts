/** What an address is for, by the registries of special addresses (RFC 6890 and those named). */
import { BlockList, isIP } from "node:net";

type Scope =
  | "loopback"
  /** Valid on one cable only (RFC 3927, RFC 4291): useless in a link for a phone. */
  | "link-local"
  /** RFC 1918, and unique local IPv6 addresses (RFC 4193). */
  | "private"
  /** RFC 6598: a carrier's inner network, and what many private tunnels use. */
  | "shared"
  | "public";

const BLOCKS: ReadonlyArray<readonly [scope: Scope, list: BlockList]> = [
  ["loopback", blocks(["127.0.0.0/8", "::1/128"])],
  ["link-local", blocks(["169.254.0.0/16", "fe80::/10"])],
  ["private", blocks(["10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7"])],
  ["shared", blocks(["100.64.0.0/10"])],
];

/** Of an IPv4 or IPv6 address in text. Throws RangeError when it is neither. */
export function scopeOf(address: string): Scope {
  const family = isIP(address);
  if (family === 0) throw new RangeError(`not an IP address: ${address}`);
  const type = family === 6 ? "ipv6" : "ipv4";
  return BLOCKS.find(([, list]) => list.check(address, type))?.[0] ?? "public";
}

/** As it stands in a URL or a Host header: IPv6 in brackets, without the zone. */
export function urlHost(host: string): string {
  return isIP(host) === 6 || host.includes("%") ? `[${host.split("%")[0]}]` : host;
}

function blocks(ranges: readonly string[]): BlockList {
  const list = new BlockList();
  for (const range of ranges) {
    const [address = "", length] = range.split("/");
    list.addSubnet(address, Number(length), isIP(address) === 6 ? "ipv6" : "ipv4");
  }
  return list;
}
