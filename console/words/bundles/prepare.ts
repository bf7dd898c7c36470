/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/prepare.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/prepare.json"),
  fr: () => import("../fr/prepare.json"),
  ar: () => import("../ar/prepare.json"),
});
