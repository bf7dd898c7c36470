/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/clock.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/clock.json"),
  fr: () => import("../fr/clock.json"),
  ar: () => import("../ar/clock.json"),
});
