/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/images.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/images.json"),
  fr: () => import("../fr/images.json"),
  ar: () => import("../ar/images.json"),
});
