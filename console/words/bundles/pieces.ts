/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/pieces.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/pieces.json"),
  fr: () => import("../fr/pieces.json"),
  ar: () => import("../ar/pieces.json"),
});
