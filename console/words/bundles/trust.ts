/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/trust.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/trust.json"),
  fr: () => import("../fr/trust.json"),
  ar: () => import("../ar/trust.json"),
});
