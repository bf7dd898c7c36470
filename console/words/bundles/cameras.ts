/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/cameras.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/cameras.json"),
  fr: () => import("../fr/cameras.json"),
  ar: () => import("../ar/cameras.json"),
});
