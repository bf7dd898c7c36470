/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/coordinates.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/coordinates.json"),
  fr: () => import("../fr/coordinates.json"),
  ar: () => import("../ar/coordinates.json"),
});
