/**
 * A second opinion on contact times from astronomy-engine, which computes Sun and Moon by itself
 * and shares no code or table with us. It is good to about 10 s and agrees within about 20 s;
 * more than that means that something is wrong with one of the two.
 */
import { AstroTime, Observer, SearchLocalSolarEclipse } from "astronomy-engine";
import type { Circumstances, ContactName, Place } from "../shared/eclipse/circumstances-types.ts";

/** Contacts further apart than this are not explained by the other's precision, seconds. */
export const AGREES_WITHIN_S = 20;
const DAY_MS = 86_400_000;

export interface SecondOpinion {
  /** "no opinion": it finds no eclipse above the horizon here. */
  verdict: "agrees" | "disagrees" | "no opinion";
  /** Theirs minus ours, seconds; null where either has none. */
  differencesS: Record<ContactName, number | null>;
  worstS: number | null;
}

export function secondOpinion(ours: Circumstances, place: Place): SecondOpinion {
  const none = { c1: null, c2: null, max: null, c3: null, c4: null };
  const max = ours.contacts.max;
  if (!max) return { verdict: "no opinion", differencesS: none, worstS: null };
  const observer = new Observer(place.latDeg, place.lonDeg, place.heightM);
  const found = SearchLocalSolarEclipse(new AstroTime(new Date(max.utcMs - DAY_MS)), observer);
  if (Math.abs(ms(found.peak.time) - max.utcMs) > DAY_MS / 2) {
    return { verdict: "no opinion", differencesS: none, worstS: null };
  }
  const theirs: Record<ContactName, number | null> = {
    c1: ms(found.partial_begin.time),
    c2: found.total_begin ? ms(found.total_begin.time) : null,
    max: ms(found.peak.time),
    c3: found.total_end ? ms(found.total_end.time) : null,
    c4: ms(found.partial_end.time),
  };
  const differencesS = Object.fromEntries(
    (Object.keys(theirs) as ContactName[]).map((name) => {
      const own = ours.contacts[name]?.utcMs;
      const other = theirs[name];
      return [name, own === undefined || other === null ? null : (other - own) / 1000];
    }),
  ) as SecondOpinion["differencesS"];
  const known = Object.values(differencesS).filter((value): value is number => value !== null);
  const worstS = Math.max(...known.map(Math.abs));
  return { verdict: worstS <= AGREES_WITHIN_S ? "agrees" : "disagrees", differencesS, worstS };
}

function ms(time: AstroTime): number {
  return time.date.getTime();
}
