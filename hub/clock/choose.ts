/**
 * Which source of time to follow. Pure.
 *
 * Every source claims an interval, offset ± bound. Where most intervals overlap the truth is taken
 * to lie (the intersection idea of RFC 5905 section 11.2.1); a source outside it disagrees and is
 * not followed. Without a majority the kinds are ranked GPS, network, hand, system, and the clock
 * counts as disputed. Among sources that agree the narrowest is followed, with some reluctance to
 * change. The witnesses' median takes part in the vote but is never followed.
 */
import type { SourceKind } from "./ports.ts";

export interface Claim {
  id: string;
  kind: SourceKind | "witnesses";
  offsetMs: number;
  boundMs: number;
}

export interface Choice {
  chosen: Claim | null;
  /** Ids of sources outside the majority, or of those against the chosen one. */
  disagreeing: string[];
  /** No majority: the sources contradict each other and nobody can tell. */
  disputed: boolean;
}

const RANK: Record<Claim["kind"], number> = { gps: 0, ntp: 1, hand: 2, system: 3, witnesses: 9 };
/** Another source must be this much narrower to be preferred to the present one. */
const RELUCTANCE = 0.7;

export function chooseSource(claims: readonly Claim[], presentId: string | null): Choice {
  const usable = claims.filter((c) => c.kind !== "witnesses");
  if (usable.length === 0) return { chosen: null, disagreeing: [], disputed: false };

  // the point under most intervals: it is the lower end of one of them
  let best: Claim[] = [];
  for (const edge of claims) {
    const point = edge.offsetMs - edge.boundMs;
    const over = claims.filter((c) => c.offsetMs - c.boundMs <= point && c.offsetMs + c.boundMs >= point);
    if (over.length > best.length || (over.length === best.length && rank(over) < rank(best))) best = over;
  }
  const majority = best.length * 2 > claims.length && best.some((c) => c.kind !== "witnesses");
  const group = majority ? best.filter((c) => c.kind !== "witnesses") : agreeing(claims, first(usable));
  const narrowest =
    [...group].sort((a, b) => a.boundMs - b.boundMs || RANK[a.kind] - RANK[b.kind])[0] ?? null;
  const present = group.find((c) => c.id === presentId);
  const chosen =
    present && narrowest && narrowest.boundMs > RELUCTANCE * present.boundMs ? present : narrowest;
  const disagreeing = usable.filter((c) => !group.includes(c)).map((c) => c.id);
  return { chosen, disagreeing, disputed: !majority };
}

function rank(claims: readonly Claim[]): number {
  return Math.min(...claims.map((c) => RANK[c.kind]));
}

function first(claims: readonly Claim[]): Claim {
  return [...claims].sort((a, b) => RANK[a.kind] - RANK[b.kind] || a.boundMs - b.boundMs)[0] as Claim;
}

function agreeing(claims: readonly Claim[], with_: Claim): Claim[] {
  return claims.filter(
    (c) => c.kind !== "witnesses" && Math.abs(c.offsetMs - with_.offsetMs) <= c.boundMs + with_.boundMs,
  );
}

/** The kind of source a claim comes from; the system's clock where nothing is followed. */
export function sourceKind(claim: Claim | null): SourceKind {
  return claim && claim.kind !== "witnesses" ? claim.kind : "system";
}
