import type { Truth } from "../../shared/link/session-types.ts";

/** The state of a page's link as its data-link attribute has it, kept stable for outside checks. */
export function linkName(truth: Truth): "linked" | "alone" | "catching-up" {
  if (truth === "catching up") return "catching-up";
  return truth === "linked" ? "linked" : "alone";
}
