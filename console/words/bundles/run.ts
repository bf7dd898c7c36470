/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/run.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/run.json"),
  fr: () => import("../fr/run.json"),
  ar: () => import("../ar/run.json"),
});
