/** Says words for which there is no clip, by the device's own speech synthesis where it has one. */
import type { Locale } from "../../words/words.ts";

const TAGS: Record<Locale, string> = { en: "en", es: "es", fr: "fr", ar: "ar" };

/** Whether this device may be able to speak; only using it shows whether it does. */
export function canSpeak(): boolean {
  return typeof window !== "undefined" && "speechSynthesis" in window;
}

/** To be called inside a tap: iOS speaks only after it was asked once by a person. */
export function primeVoice(): void {
  if (!canSpeak()) return;
  const empty = new SpeechSynthesisUtterance(" ");
  empty.volume = 0;
  speechSynthesis.speak(empty);
}

/** One voice at a time: what is being said stops. The answer stops this one. */
export function speak(text: string, locale: Locale): () => void {
  if (!canSpeak()) return () => undefined;
  speechSynthesis.cancel();
  const words = new SpeechSynthesisUtterance(text);
  words.lang = TAGS[locale];
  const voice = speechSynthesis.getVoices().find((item) => item.lang.toLowerCase().startsWith(TAGS[locale]));
  if (voice) words.voice = voice;
  speechSynthesis.speak(words);
  return () => speechSynthesis.cancel();
}

/** Roughly how long words take to say, ms; common practice, no source (14 characters a second). */
export function speakingMs(text: string): number {
  return 500 + text.length * 70;
}
