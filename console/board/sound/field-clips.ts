/**
 * The three phrases that are said to a field, of each language chosen: the words and their clips, which
 * are those of the rigs' phones (console/rig/clips).
 */
import { manifest as ar, urls as arUrls } from "../../rig/clips/ar.ts";
import { manifest as en, urls as enUrls } from "../../rig/clips/en.ts";
import { manifest as es, urls as esUrls } from "../../rig/clips/es.ts";
import { manifest as fr, urls as frUrls } from "../../rig/clips/fr.ts";
import { withoutLead } from "../../rig/sound/clips.ts";
import type { Locale } from "../../words/words.ts";
import type { SaidIn } from "./field-plan.ts";

const KEYS = {
  ready: "rig.say.ready",
  glassesOn: "cue.glasses-on",
  cover: "rig.say.cover",
} as const satisfies Record<keyof SaidIn, string>;

const MANIFESTS = { en, es, fr, ar };
const URLS: Record<Locale, Record<string, string>> = { en: enUrls, es: esUrls, fr: frUrls, ar: arUrls };

export function saidIn(locale: Locale): SaidIn {
  const { clips } = MANIFESTS[locale];
  return { ready: clips[KEYS.ready], glassesOn: clips[KEYS.glassesOn], cover: clips[KEYS.cover] };
}

/** The clips of some languages, by their words; what does not come is fetched again at the next call. */
export class FieldClips {
  private readonly decoded = new Map<string, AudioBuffer>();
  private readonly asked = new Set<string>();

  of(words: string): AudioBuffer | null {
    return this.decoded.get(words) ?? null;
  }

  /** Never rejects. */
  async load(languages: readonly Locale[], audio: AudioContext): Promise<void> {
    for (const locale of languages)
      for (const what of ["glassesOn", "ready", "cover"] as const) {
        const words = saidIn(locale)[what];
        const url = URLS[locale][`./${locale}/${KEYS[what].replaceAll(".", "-")}.mp3`];
        if (!url || this.asked.has(words)) continue;
        this.asked.add(words);
        try {
          const reply = await fetch(url);
          if (!reply.ok) throw new Error(`${url}: ${reply.status}`);
          this.decoded.set(words, withoutLead(await audio.decodeAudioData(await reply.arrayBuffer()), audio));
        } catch {
          this.asked.delete(words);
        }
      }
  }
}
