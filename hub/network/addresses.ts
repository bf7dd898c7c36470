/**
 * Which of this machine's addresses to print, the likeliest for phones first.
 *
 * A laptop in the field has several: Wi-Fi, a cable, perhaps its own hotspot, and tunnels and
 * virtual machines that no phone can reach. Nothing tells for sure, so this is a ranking by
 * signs: the kind of address (ip.ts), the interface's name on Linux, macOS and Windows, its
 * hardware address, and whether the machine is the first host of its subnet (then it most likely
 * runs the network the phones are on). Pure over what os.networkInterfaces() returns.
 */
import type { NetworkInterfaceInfo } from "node:os";
import { scopeOf, urlHost } from "./ip.ts";

export type Interfaces = NodeJS.Dict<NetworkInterfaceInfo[]>;

type LinkKind = "hotspot" | "wifi" | "wired" | "other" | "tunnel" | "virtual";

interface SiteAddress {
  address: string;
  family: "IPv4" | "IPv6";
  interfaceName: string;
  kind: LinkKind;
}

const VIRTUAL =
  /^(docker|br-[0-9a-f]{6,}|veth|virbr|vmnet|vboxnet|vnet|lxc|lxd|cni|flannel|cali|podman|cilium|kube|dummy|ifb|anpi|ap1$|awdl|llw)|^vethernet|virtual|host-only|hyper-v|vmware|wsl|sandbox|loopback/i;
const TUNNEL =
  /^(tun|tap|wg|utun|ppp|ipsec|gif|stf|sit|he-|zt|nebula|ts\d|gre|vti|pan)|vpn|tunnel|tailscale|wireguard|zerotier/i;
const WIFI = /^(wl|wlan|ath|ra\d|wifi)|wi-?fi|wlan|wireless|drahtlos|inal[aá]mbric|sans fil/i;
const HOTSPOT = /^(ap\d|bridge\d|uap|softap)|\* ?\d+$/i;
const WIRED = /^(eth|en|em|lan|usb|rndis)|ethernet/i;

/** Smaller comes first. */
const RANK: Record<LinkKind, number> = { hotspot: 0, wifi: 1, wired: 2, other: 3, tunnel: 10, virtual: 11 };

/** All usable addresses, best first; loopback and link-local are left out. */
export function listAddresses(interfaces: Interfaces): SiteAddress[] {
  const found = Object.entries(interfaces).flatMap(([interfaceName, infos = []]) => {
    const useful = infos.filter((info) => !info.internal && isUseful(info.address));
    return onePerScope(useful).map((info) => ({
      address: info.address,
      family: info.family,
      interfaceName,
      kind: kindOf(interfaceName, info),
    }));
  });
  return found
    .map((address, order) => ({ address, order, rank: rankOf(address) }))
    .sort((a, b) => a.rank - b.rank || a.order - b.order)
    .map(({ address }) => address);
}

/**
 * The URLs to open, best first. With a host given to bind to, only what it answers on; when the
 * machine is on no network, its own name for itself.
 */
export function listUrls(
  interfaces: Interfaces,
  options: { port: number; scheme: "http" | "https"; host?: string | undefined },
): string[] {
  const url = (host: string): string => siteUrl(host, options.port, options.scheme);
  const { host } = options;
  const anyIpv4 = host === "0.0.0.0";
  if (host !== undefined && !anyIpv4 && host !== "::" && host !== "") return [url(host)];
  const addresses = listAddresses(interfaces).filter((found) => !anyIpv4 || found.family === "IPv4");
  return addresses.length > 0 ? addresses.map((found) => url(found.address)) : [url("localhost")];
}

/** "http://192.168.1.20:8080", without the port where it is the scheme's own. */
export function siteUrl(host: string, port: number, scheme: "http" | "https"): string {
  const usual = scheme === "http" ? 80 : 443;
  return `${scheme}://${urlHost(host)}${port === usual ? "" : `:${port}`}`;
}

/** Every address of the machine, loopback and link-local too, without zones. */
export function ownAddresses(interfaces: Interfaces): string[] {
  return Object.values(interfaces).flatMap((infos = []) =>
    infos.map((info) => info.address.split("%")[0] ?? info.address),
  );
}

function isUseful(address: string): boolean {
  const scope = scopeOf(address.split("%")[0] ?? address);
  return scope !== "loopback" && scope !== "link-local";
}

/** An interface may have a dozen IPv6 addresses that change by the hour: one of each scope is enough. */
function onePerScope(infos: readonly NetworkInterfaceInfo[]): NetworkInterfaceInfo[] {
  const seen = new Set<string>();
  return infos.filter((info) => {
    if (info.family === "IPv4") return true;
    const scope = scopeOf(info.address);
    if (seen.has(scope)) return false;
    seen.add(scope);
    return true;
  });
}

function kindOf(name: string, info: NetworkInterfaceInfo): LinkKind {
  // Containers' bridges have hardware addresses that begin so; tunnels have none. Common practice.
  if (VIRTUAL.test(name) || info.mac.startsWith("02:42:")) return "virtual";
  const pointToPoint = info.netmask === "255.255.255.255";
  if (TUNNEL.test(name) || pointToPoint || /^(00:){5}00$/.test(info.mac)) return "tunnel";
  if (scopeOf(info.address) === "shared") return "tunnel";
  if (HOTSPOT.test(name) || isFirstHost(info)) return "hotspot";
  if (WIFI.test(name)) return "wifi";
  if (WIRED.test(name)) return "wired";
  return "other";
}

/** A hotspot of the laptop's own gives itself the first address of a private subnet. */
function isFirstHost(info: NetworkInterfaceInfo): boolean {
  return info.family === "IPv4" && scopeOf(info.address) === "private" && info.address.endsWith(".1");
}

function rankOf(found: SiteAddress): number {
  const scope = scopeOf(found.address);
  const ofAddress = found.family === "IPv4" ? (scope === "private" ? 0 : 20) : scope === "private" ? 40 : 60;
  // Tunnels and virtual machines come after everything real, whatever their address.
  const unreal = found.kind === "tunnel" || found.kind === "virtual" ? 100 : 0;
  return unreal + ofAddress + RANK[found.kind];
}
