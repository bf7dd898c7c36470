/**
 * The service worker: with it a phone opens its page though the hub is gone. It runs only where
 * the phone trusts the hub's certificate (or on the hub's own machine).
 *
 * What a page is made of is fetched ahead by the list that the build wrote (PRECACHE); files with
 * a hash in their name come from there, whatever the network does. A page itself is asked of the
 * hub first, so that a new build arrives, and comes from what is kept when the hub does not answer
 * within WAIT_MS. What is kept always fits together: page and files are of one build.
 *
 * Nothing else is touched: the interface, the sockets and the lead's page go straight to the hub.
 * A new worker waits until no page of an older build is open, or the one page that is open is of its
 * own build, by the name of the script that the page began with: a page cannot know by itself which
 * worker it speaks to. So it never takes the modules from under a page, and never reloads one.
 */
import { addRoute, matchPrecache, precache } from "workbox-precaching";
import { registerRoute } from "workbox-routing";

declare const self: ServiceWorkerGlobalScope;
/** Written in by scripts/setup/vite/offline.ts. */
declare const PRECACHE: Array<{ url: string; revision: string | null }>;
declare const PAGES: string[];

const WAIT_MS = 2000;

const files = PRECACHE;
precache(files);

registerRoute(
  ({ request, url, sameOrigin }) =>
    sameOrigin && request.mode === "navigate" && PAGES.includes(pageOf(url.pathname)),
  ({ url }) => freshOrKept(pageOf(url.pathname)),
);

addRoute({ ignoreURLParametersMatching: [], cleanURLs: false, directoryIndex: "" });

// A page opened before there was a worker is taken in too: else a newer build's worker would find nobody
// to wait for, and that page's languages and clips would be gone from what is kept.
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => {
  const { entry } = (event.data ?? {}) as { entry?: unknown };
  if (files.some(({ url }) => url === entry)) event.waitUntil(takeOverIfAlone());
});

function pageOf(path: string): string {
  return path.replace(/\/$/, "");
}

async function freshOrKept(page: string): Promise<Response> {
  // Past the browser's own cache, which may open the page on plain http (hub/http/app.ts).
  const fresh = fetch(page, { cache: "no-cache" });
  const answer = await Promise.race([fresh, pause(WAIT_MS)]).catch(() => undefined);
  if (answer?.ok) return answer;
  return (await matchPrecache(page)) ?? fresh;
}

function pause(ms: number): Promise<undefined> {
  return new Promise((resolve) => setTimeout(() => resolve(undefined), ms));
}

async function takeOverIfAlone(): Promise<void> {
  const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  if (pages.length === 1) await self.skipWaiting();
}
