import type { LinkState } from "../../shared/link/session-types.ts";

/** The state of a page's link as its data-link attribute has it, kept stable for outside checks. */
export function linkName(linkState: LinkState): "linked" | "alone" | "catching-up" {
  if (linkState === "catching up") return "catching-up";
  return linkState === "linked" ? "linked" : "alone";
}
