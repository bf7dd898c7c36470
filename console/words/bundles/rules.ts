/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/rules.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/rules.json"),
  fr: () => import("../fr/rules.json"),
  ar: () => import("../ar/rules.json"),
});
