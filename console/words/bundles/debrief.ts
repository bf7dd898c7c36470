/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/debrief.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/debrief.json"),
  fr: () => import("../fr/debrief.json"),
  ar: () => import("../ar/debrief.json"),
});
