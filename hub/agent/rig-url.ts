/** A rig's link as its QR code has it: `http://HUB:PORT/rig#RIG.TOKEN`, several rigs joined by `&`. */
import { RIG_LINK_PART } from "../../shared/link/rig-link.ts";
import { UsageError } from "../options.ts";

export interface RigUrl {
  /** Scheme, host and port. */
  hubUrl: string;
  links: readonly { id: string; token: string }[];
}

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
    const [, id, token] = RIG_LINK_PART.exec(part) ?? [];
    if (!id || !token)
      throw new UsageError("--join: what stands after the # is no key of a rig; copy the whole link.");
    return { id, token };
  });
  return { hubUrl: url.origin, links };
}
