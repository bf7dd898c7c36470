/**
 * Keeps a page at hand for the time when the hub is gone. Where the phone trusts the hub, a
 * service worker does it and a reload works. On plain http everything that the page may need is
 * fetched once into the browser's own cache, and the page opens again by its address or in a new
 * tab (not by a reload: browsers ask the hub then, whatever the cache holds).
 *
 * A build newer than the page's own is made ready in the same way and told of; no page reloads
 * itself, since its operator may be in the middle of a cue.
 */
import { useSyncExternalStore } from "react";

export interface AtHand {
  /** How this page opens with the hub gone; "not yet" while it is being fetched. */
  opens: "not yet" | "by reload" | "by address";
  /** A newer build is ready and comes with the next reload. */
  newBuild: boolean;
}

interface OfflineList {
  build: string;
  pages: Record<string, { entry: string; files: string[] } | undefined>;
}

/** After the first draw and the first exchange with the hub, ms. */
const START_MS = 3000;
const AGAIN_MS = 10 * 60_000;
const RETRY_MS = 20_000;

let view: AtHand = { opens: "not yet", newBuild: false };
const listeners = new Set<() => void>();
let started = false;

/** Starts once; further calls do nothing. `page` is the page's address, e.g. "/rig". */
export function keepAtHand(page: string, afterMs = START_MS): void {
  if (started || !import.meta.env.PROD) return;
  started = true;
  const round = async (): Promise<void> => {
    let nextMs = AGAIN_MS;
    try {
      if (document.visibilityState === "visible") await bringToHand(page);
    } catch {
      nextMs = RETRY_MS;
    }
    window.setTimeout(round, nextMs);
  };
  window.setTimeout(round, afterMs);
}

export function useAtHand(): AtHand {
  return useSyncExternalStore(subscribe, atHand, atHand);
}

export function atHand(): AtHand {
  return view;
}

async function bringToHand(page: string): Promise<void> {
  const list = await offlineList();
  const made = list.pages[page];
  if (!made) throw new Error(`the build lists no page ${page}`);
  const newBuild = made.entry !== ownEntry();
  if (await registerWorker()) {
    show({ opens: "by reload", newBuild });
    return;
  }
  for (const file of made.files) await fetchWhole(file, "default");
  // Last, so that the page kept never asks for files that are not there. Asked for by "no-cache":
  // with "reload" a browser drops what it keeps before the hub has answered, and a hub that goes
  // in that moment would leave nothing.
  await fetchWhole(page, "no-cache");
  show({ opens: "by address", newBuild });
}

async function offlineList(): Promise<OfflineList> {
  const reply = await fetch("/offline.json", { cache: "no-cache" });
  if (!reply.ok) throw new Error(`/offline.json: ${reply.status}`);
  return (await reply.json()) as OfflineList;
}

/** Its name holds a hash of all that it imports, so it tells builds apart. */
function ownEntry(): string | undefined {
  const script = document.querySelector<HTMLScriptElement>('script[type="module"][src]');
  return script ? new URL(script.src).pathname : undefined;
}

async function fetchWhole(url: string, cache: RequestCache): Promise<void> {
  const reply = await fetch(url, { cache });
  if (!reply.ok) throw new Error(`${url}: ${reply.status}`);
  await reply.arrayBuffer();
}

/** False where there can be none: plain http, or a certificate that is not trusted. */
async function registerWorker(): Promise<boolean> {
  if (!window.isSecureContext || !("serviceWorker" in navigator)) return false;
  try {
    const registration = await navigator.serviceWorker.register("/sw.js");
    if (registration.active) await registration.update();
    await settled(registration);
    // A worker whose build this page is of need not wait for it to close.
    registration.waiting?.postMessage({ entry: ownEntry() });
    return registration.active !== null || registration.waiting !== null;
  } catch {
    return false;
  }
}

/** Resolves when no worker is being installed any more, whether that went well or not. */
function settled({ installing }: ServiceWorkerRegistration): Promise<void> {
  return new Promise((resolve) => {
    if (!installing) return resolve();
    const look = (): void => {
      if (installing.state === "installing") return;
      installing.removeEventListener("statechange", look);
      // A first worker has nothing to wait for: it is active in a moment.
      window.setTimeout(resolve, 100);
    };
    installing.addEventListener("statechange", look);
  });
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function show(next: AtHand): void {
  if (next.opens === view.opens && next.newBuild === view.newBuild) return;
  view = next;
  for (const listener of listeners) listener();
}
