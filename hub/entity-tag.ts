/** Entity tags of answers over HTTP (RFC 9110, 8.8.3). */
import { createHash } from "node:crypto";

/** A strong tag of a text, quoted. */
export function tagOf(text: string): string {
  return `"${createHash("sha256").update(text).digest("base64url").slice(0, 22)}"`;
}

/**
 * RFC 9110, 13.1.2: whether who asks has this already. Express's own judgement also takes "no-cache"
 * for "send it again", which clients add to whatever they ask with a tag (the Fetch standard,
 * HTTP-network-or-cache fetch).
 */
export function hasIt(ifNoneMatch: string | undefined, etag: string): boolean {
  const bare = (tag: string): string => tag.trim().replace(/^W\//, "");
  const tags = (ifNoneMatch ?? "").split(",").map(bare);
  return tags.includes(bare(etag)) || tags.includes("*");
}
