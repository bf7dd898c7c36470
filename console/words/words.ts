/**
 * The words of every page: one catalogue of keyed ICU messages per language, English first.
 * Catalogues are compiled when the pages are built (scripts/setup/vite/words.ts), so no parser is
 * here. English is always loaded; the others come on demand, and a
 * key that a language lacks is shown in English.
 *
 * Figures are written 0–9 in every language, so that two people can compare two phones.
 */
import { useSyncExternalStore } from "react";
import type alerts from "./en/alerts.json";
import type board from "./en/board.json";
import type cameras from "./en/cameras.json";
import type clock from "./en/clock.json";
import type common from "./en/common.json";
import type coordinates from "./en/coordinates.json";
import type cues from "./en/cues.json";
import type debrief from "./en/debrief.json";
import type drill from "./en/drill.json";
import type facts from "./en/facts.json";
import type images from "./en/images.json";
import type instruments from "./en/instruments.json";
import type kinds from "./en/kinds.json";
import type lead from "./en/lead.json";
import type marshal from "./en/marshal.json";
import type phone from "./en/phone.json";
import type pieces from "./en/pieces.json";
import type plan from "./en/plan.json";
import type planner from "./en/planner.json";
import type practice from "./en/practice.json";
import type prepare from "./en/prepare.json";
import type progress from "./en/progress.json";
import type rig from "./en/rig.json";
import type rules from "./en/rules.json";
import type run from "./en/run.json";
import type trust from "./en/trust.json";
import { type Message, messageText } from "./message.ts";

export type WordKey =
  | keyof typeof common
  | keyof typeof pieces
  | keyof typeof plan
  | keyof typeof planner
  | keyof typeof prepare
  | keyof typeof cues
  | keyof typeof kinds
  | keyof typeof facts
  | keyof typeof instruments
  | keyof typeof alerts
  | keyof typeof rules
  | keyof typeof coordinates
  | keyof typeof rig
  | keyof typeof run
  | keyof typeof phone
  | keyof typeof lead
  | keyof typeof debrief
  | keyof typeof drill
  | keyof typeof practice
  | keyof typeof progress
  | keyof typeof board
  | keyof typeof trust
  | keyof typeof marshal
  | keyof typeof clock
  | keyof typeof cameras
  | keyof typeof images;
export type Locale = "en" | "es" | "fr" | "ar";
export type WordValues = Readonly<Record<string, string | number>>;

export const locales: readonly Locale[] = ["en", "es", "fr", "ar"];

type Loaders = Record<Exclude<Locale, "en">, () => Promise<{ default: object }>>;
const registered: Loaders[] = [];

/** For Intl: the language with figures 0–9. */
const formatLocale: Record<Locale, string> = { en: "en-GB", es: "es", fr: "fr", ar: "ar-u-nu-latn" };

type Messages = Readonly<Record<string, Message>>;

let wanted: Locale = "en";
let shown: Locale = "en";
let english: Messages = {};
/** In the language shown; English stands in for what it lacks. */
let messages: Messages = {};
const listeners = new Set<() => void>();

/** Adds a part of the catalogue (words/bundles/): a page carries only the words that it shows. */
export function registerWords(part: object, loaders: Loaders): void {
  english = { ...english, ...(part as Messages) };
  registered.push(loaders);
  messages = { ...english, ...messages };
  // A part that comes with a screen opened later follows the language already chosen.
  if (wanted !== "en") void loadWords(wanted).catch(() => undefined);
}

/**
 * Shows this language from now on. Rejects when its catalogue cannot be fetched; the language
 * shown before then stays. Of several calls the last one wins.
 */
export async function loadWords(locale: Locale): Promise<void> {
  wanted = locale;
  const parts =
    locale === "en" ? [] : await Promise.all(registered.map(async (load) => (await load[locale]()).default));
  if (wanted !== locale) return;
  shown = locale;
  messages = Object.assign({}, english, ...parts) as Messages;
  if (typeof document !== "undefined") {
    document.documentElement.lang = locale;
    document.documentElement.dir = dir(locale);
  }
  for (const listener of listeners) listener();
}

/** The message in the language shown. Values that are missing leave a gap, so pass them all. */
export function t(key: WordKey, values?: WordValues): string {
  const message = messages[key];
  return message ? messageText(message, values ?? {}, formatLocale[shown]) : key;
}

export type Translate = typeof t;

/** Whether a text from elsewhere (a cue of the plan, a refusal's code) is a key of ours. */
export function isWordKey(text: string): text is WordKey {
  return Object.hasOwn(english, text);
}

export function dir(locale: Locale): "ltr" | "rtl" {
  return locale === "ar" ? "rtl" : "ltr";
}

/** The language shown now. */
export function currentLocale(): Locale {
  return shown;
}

/** The BCP 47 tag to give to Intl for dates and numbers in the language shown. */
export function intlLocale(): string {
  return formatLocale[currentLocale()];
}

/** The first of the reader's languages (BCP 47, as in navigator.languages) that we have. */
export function preferredLocale(languages: readonly string[]): Locale {
  for (const tag of languages) {
    const language = tag.toLowerCase().split("-")[0];
    const found = locales.find((locale) => locale === language);
    if (found) return found;
  }
  return "en";
}

function subscribe(changed: () => void): () => void {
  listeners.add(changed);
  return () => listeners.delete(changed);
}

/** For components: draws again when the language changes. */
export function useWords(): { t: typeof t; locale: Locale; dir: "ltr" | "rtl" } {
  const locale = useSyncExternalStore(subscribe, currentLocale, currentLocale);
  return { t, locale, dir: dir(locale) };
}
