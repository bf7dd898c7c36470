/** What the trust page asks: the hub how it is reached, and whether this phone takes its https. */
import * as v from "valibot";
import type { RigLink } from "../../shared/link/session-types.ts";
import { BrowserStore } from "../link/browser-store.ts";
import type { NetworkAnswer } from "../link/network-answer.ts";
import { keptRigs, mergeRigs, readFragment } from "../rig/join/read-fragment.ts";

const WAIT_MS = 6000;
const NetworkSchema = v.object({
  origins: v.array(v.string()),
  secureOrigins: v.array(v.pipe(v.string(), v.url())),
  tier: v.picklist(["own certificate", "local authority", "none"]),
  authorityFingerprint: v.nullable(v.string()),
  names: v.array(v.string()),
});

/** Rejects when the hub does not answer. */
export async function askNetwork(): Promise<NetworkAnswer> {
  return v.parse(NetworkSchema, await getJson("/api/reach"));
}

/** Whether this phone takes the certificate at that address; "gone" when not even http answers. */
export async function tryHttps(origin: string): Promise<"ok" | "bad" | "gone"> {
  if (await isWell(`${origin}/api/health`)) return "ok";
  return (await isWell("/api/health")) ? "bad" : "gone";
}

async function isWell(url: string): Promise<boolean> {
  try {
    return ((await getJson(url)) as { status?: unknown }).status === "ok";
  } catch {
    return false;
  }
}

async function getJson(url: string): Promise<unknown> {
  const ending = new AbortController();
  const timer = setTimeout(() => ending.abort(), WAIT_MS);
  try {
    const reply = await fetch(url, { cache: "no-store", signal: ending.signal });
    if (!reply.ok) throw new Error(`${url}: ${reply.status}`);
    return await reply.json();
  } finally {
    clearTimeout(timer);
  }
}

export interface KeptHere {
  rigs: RigLink[];
  /** Reports that the hub does not have yet. */
  queued: number;
}

/** What belongs to this address on this phone; rigs in the page's own fragment count, too. */
export async function keptHere(fragment: string): Promise<KeptHere> {
  const { rigs } = readFragment(fragment);
  try {
    const store = new BrowserStore("noonfall-rig");
    const kept = keptRigs(await store.get("rigs"));
    const { outbox } = await store.load();
    return { rigs: mergeRigs(kept, rigs), queued: outbox.length };
  } catch {
    return { rigs, queued: 0 };
  }
}
