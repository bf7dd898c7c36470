/** Revisions of the plan's parts as ETags, and what an If-Match asks for (RFC 9110, 13.1.1). */
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import type { Call } from "./route.ts";

export function etag(what: string, revision: number): string {
  return `"${what}-${revision}"`;
}

export function badMatch(what: string): Refusal {
  return refusal("bad-input", `If-Match must be ${what}`, { field: "If-Match" });
}

/** "*" stands for whatever is there; of several ETags the part's own counts. Undefined for ETags of something else. */
export function revisionAsked(
  call: Call<unknown, unknown>,
  what: string,
  current: number,
  otherwise?: number,
): number | undefined {
  const match = call.request.get("If-Match")?.trim();
  if (match === undefined || match === "") return otherwise;
  if (match === "*") return current;
  const found = match.split(",").map((tag) => /^(?:W\/)?"([a-z]+)-(\d+)"$/.exec(tag.trim()));
  // Something that is no ETag at all among them is a slip of who wrote it.
  if (found.includes(null)) return undefined;
  const revisions = found.flatMap((tag) => (tag?.[1] === what ? [Number(tag[2])] : []));
  return revisions.includes(current) ? current : revisions[0];
}
