/** A rig's link as its QR code has it: `http://HUB:PORT/rig#RIG.TOKEN`, several rigs joined by `&`. */
import { UsageError } from "../options.ts";

export interface RigUrl {
  /** Scheme, host and port. */
  hubUrl: string;
  links: readonly { id: string; token: string }[];
}

/** As console/rig/join/read-fragment.ts reads it. */
const PART = /^([a-z0-9][a-z0-9-]{0,39})\.([A-Za-z0-9_-]{8,200})$/;

/** The token is a key: no message repeats the link. */
export function readRigUrl(text: string): RigUrl {
  let url: URL;
  try {
    url = new URL(text);
  } catch {
    throw new UsageError("--join must be the whole link of a rig, with http:// in front.");
  }
  if (url.protocol !== "http:" && url.protocol !== "https:")
    throw new UsageError("--join must be a link that begins with http:// or https://.");
  const parts = url.hash.replace(/^#/, "").split("&").filter(Boolean);
  if (parts.length === 0)
    throw new UsageError("--join: the link has no key; copy it with all that stands after the #.");
  const links = parts.map((part) => {
    const [, id, token] = PART.exec(part) ?? [];
    if (!id || !token)
      throw new UsageError("--join: what stands after the # is no key of a rig; copy the whole link.");
    return { id, token };
  });
  return { hubUrl: url.origin, links };
}
