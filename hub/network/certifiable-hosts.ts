/** Which hosts the hub's own authority may name (its constraints: certificates.ts). */
import { isIP } from "node:net";
import { scopeOf } from "./ip.ts";

/** Of these names and addresses the ones allowed, sorted, localhost always among them. */
export function certifiableHosts(hosts: readonly string[]): string[] {
  const always = ["localhost", "127.0.0.1", "::1"];
  const fit = hosts.filter((host) =>
    isIP(host)
      ? ["private", "shared", "loopback"].includes(scopeOf(host))
      : /^[a-z0-9-]{1,63}\.local$/.test(host),
  );
  return [...new Set([...always, ...fit])].sort();
}
