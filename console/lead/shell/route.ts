/**
 * Which screen is shown: the address's fragment, so that back, forward and reload work without
 * the hub. "#rigs/west" is the rigs screen with the rig "west" open.
 */
import { useSyncExternalStore } from "react";

export const SCREENS = [
  "array",
  "site",
  "rigs",
  "practice",
  "clock",
  "record",
  "camera-clocks",
  "images",
  "leads",
  "join-sheet",
  "crowd",
  "cue-sheets",
] as const;
export type Screen = (typeof SCREENS)[number];

export interface Route {
  /** Null when the address names none: the frame then chooses. */
  screen: Screen | null;
  /** What is open on it. */
  item: string | null;
}

/** Reads a fragment; one that names no screen is none. */
export function parseRoute(hash: string): Route {
  const [name = "", item = ""] = hash.replace(/^#/, "").split("/");
  const screen = SCREENS.find((one) => one === name) ?? null;
  return { screen, item: screen && item ? item : null };
}

/** What is shown when the address names nothing: the first thing that still has to be done. */
export function firstScreen(plan: {
  eclipse: string | null;
  site: unknown;
  rigs: readonly unknown[];
}): Screen {
  if (plan.eclipse === null || plan.site === null) return "site";
  return plan.rigs.length === 0 ? "rigs" : "array";
}

export function go(screen: Screen, item?: string): void {
  window.location.hash = item ? `${screen}/${item}` : screen;
}

/** Goes on when something that took a while is done, unless whoever waited is elsewhere by now. */
export function goOn(from: { screen: Screen; item?: string | null }, screen: Screen, item?: string): void {
  const now = parseRoute(window.location.hash);
  const stayed = now.screen === from.screen && (from.item === undefined || now.item === from.item);
  // The address names no screen where the frame has chosen one (firstScreen).
  if (stayed || now.screen === null) go(screen, item);
}

export function useRoute(): Route {
  return parseRoute(useSyncExternalStore(subscribe, () => window.location.hash));
}

function subscribe(changed: () => void): () => void {
  window.addEventListener("hashchange", changed);
  return () => window.removeEventListener("hashchange", changed);
}
