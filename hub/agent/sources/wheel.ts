/**
 * What a filter wheel's slot means. A wheel that stands at an open slot has no filter in it: said as "off",
 * the more dangerous reading (S9). No other slot says anything of a filter: what protects sits in front
 * of the optics, where no wheel knows of it, and nothing an instrument says releases anything.
 */
import type { Saying } from "../source.ts";

/** Names that people give to a slot with nothing in it: common practice, no source. */
const OPEN =
  /^(open|empty|none|no filter|nothing|leer|offen|ohne|vac[ií]o|abierto|vide|ouvert|sans filtre)$/i;

export function wheelSaying(name: string | undefined, slot: number): Saying {
  const said = (name ?? "").trim().slice(0, 60);
  return {
    wheelSlot: said === "" ? `slot ${slot}` : said,
    // Ends nothing (S9): it only shows that the wheel does not say "off" any more.
    filter: OPEN.test(said) ? "off" : "unknown",
  };
}
