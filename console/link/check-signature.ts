/**
 * Whether an Ed25519 signature holds (RFC 8032): by the browser's own crypto where it has it (secure
 * pages of newer browsers), else by a small library that is fetched only then.
 */
import type { FetchPorts } from "../../shared/link/board-fetcher.ts";

const own = new Map<string, Promise<CryptoKey | null>>();

export const checkSignature: FetchPorts["check"] = async (signed, signature, key) => {
  const text = new TextEncoder().encode(signed);
  const ready = await ownKey(key);
  if (ready) return crypto.subtle.verify("Ed25519", ready, bytes(signature), text);
  const { ed25519 } = await import("@noble/curves/ed25519.js");
  return ed25519.verify(bytes(signature), text, bytes(key));
};

/** Null where this browser, or this page, has no Ed25519 of its own. */
function ownKey(key: string): Promise<CryptoKey | null> {
  let made = own.get(key);
  if (!made) {
    const { subtle } = globalThis.crypto ?? {};
    made = subtle
      ? subtle.importKey("raw", bytes(key), "Ed25519", false, ["verify"]).catch(() => null)
      : Promise.resolve(null);
    own.set(key, made);
  }
  return made;
}

function bytes(base64url: string): Uint8Array<ArrayBuffer> {
  const text = atob(base64url.replaceAll("-", "+").replaceAll("_", "/"));
  return Uint8Array.from(text, (one) => one.charCodeAt(0));
}
