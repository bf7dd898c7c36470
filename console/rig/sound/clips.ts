/**
 * Pre-rendered words (console/rig/clips, made by scripts/build-clips.mjs): fetched for the
 * language shown once the phone is armed, decoded once, then scheduled to the sample like pips.
 * Where a clip is missing, or does not come, speech synthesis says the words.
 */
import type { Locale } from "../../words/words.ts";

interface ClipPack {
  /** What each clip says, by the words' key, so that changed words are never misspoken. */
  manifest: { clips: Record<string, string> };
  /** Addresses by "./<language>/<file>". */
  urls: Record<string, string>;
}

const packs: Record<Locale, () => Promise<ClipPack>> = {
  en: () => import("../clips/en.ts"),
  es: () => import("../clips/es.ts"),
  fr: () => import("../clips/fr.ts"),
  ar: () => import("../clips/ar.ts"),
};

let shown: Locale | null = null;
let decoded: ReadonlyMap<string, AudioBuffer> = new Map();

/** The clip of these very words in the language loaded; null when there is none. */
export function clipOf(words: string): AudioBuffer | null {
  return decoded.get(words) ?? null;
}

/** Never rejects: a clip that does not come is spoken instead, and fetched again at the next call. */
export async function loadClips(locale: Locale, audio: AudioContext): Promise<void> {
  if (shown === locale) return;
  shown = locale;
  const found = new Map<string, AudioBuffer>();
  try {
    const { manifest, urls } = await packs[locale]();
    for (const [key, text] of Object.entries(manifest.clips)) {
      const url = urls[`./${locale}/${key.replaceAll(".", "-")}.mp3`];
      // Words that two keys have in common have one clip.
      if (!url) continue;
      const reply = await fetch(url);
      if (!reply.ok) throw new Error(`${url}: ${reply.status}`);
      const clip = withoutLead(await audio.decodeAudioData(await reply.arrayBuffer()), audio);
      if (shown !== locale) return;
      found.set(text, clip);
      // Taken as they come: the first cue may be near.
      decoded = new Map(found);
    }
  } catch {
    if (shown === locale) shown = null;
  }
}

/** Louder than this the words have begun: what an encoder puts before them is near silence. */
const BEGUN = 0.02;

/** Decoders keep the encoder's lead-in, some ten ms: cut off, so that words begin when they are due. */
export function withoutLead(clip: AudioBuffer, audio: AudioContext): AudioBuffer {
  const samples = clip.getChannelData(0);
  const from = samples.findIndex((sample) => Math.abs(sample) > BEGUN);
  if (from <= 0) return clip;
  const cut = audio.createBuffer(1, samples.length - from, clip.sampleRate);
  cut.copyToChannel(samples.subarray(from), 0);
  return cut;
}
