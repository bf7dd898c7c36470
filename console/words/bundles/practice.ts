/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/practice.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/practice.json"),
  fr: () => import("../fr/practice.json"),
  ar: () => import("../ar/practice.json"),
});
