/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/common.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/common.json"),
  fr: () => import("../fr/common.json"),
  ar: () => import("../ar/common.json"),
});
