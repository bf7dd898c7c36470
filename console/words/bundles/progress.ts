/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/progress.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/progress.json"),
  fr: () => import("../fr/progress.json"),
  ar: () => import("../ar/progress.json"),
});
