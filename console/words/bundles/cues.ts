/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/cues.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/cues.json"),
  fr: () => import("../fr/cues.json"),
  ar: () => import("../ar/cues.json"),
});
