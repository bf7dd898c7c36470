/** The address to put into a link for another device. */
import type { HubParts } from "./hub-parts.ts";

/** Phones cannot reach "localhost": a lead on the hub's own laptop is given the best address. */
export function joinOrigin(
  parts: Pick<HubParts, "origins">,
  protocol: string,
  host: string | undefined,
): string {
  const local = !host || /^(localhost|127\.|\[::1\])/.test(host);
  const best = parts.origins()[0];
  return local && best ? best : `${protocol}://${host}`;
}
