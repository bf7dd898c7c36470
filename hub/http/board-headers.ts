/** Headers of the board, the same from hub and relay. */

/** How long a cache may hand it on, and once more while it asks, s: "cover every lens" is in it (S7). */
export const BOARD_CACHE = "public, max-age=1, stale-while-revalidate=1";

/** A page that is nobody's but its own: what a relay's board may load, and who may show it in a frame. */
export function boardPolicy(embed: readonly string[]): string {
  return [
    "default-src 'self'",
    "script-src 'self'",
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "media-src 'self' data: blob:",
    "object-src 'none'",
    "base-uri 'none'",
    `frame-ancestors ${frameAncestors(embed)}`,
  ].join("; ");
}

/** Nobody, or the hosts a lead has named (CSP level 3, 6.4.2). */
export function frameAncestors(embed: readonly string[]): string {
  return embed.length === 0 ? "'none'" : embed.join(" ");
}
