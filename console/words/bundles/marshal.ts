/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/marshal.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/marshal.json"),
  fr: () => import("../fr/marshal.json"),
  ar: () => import("../ar/marshal.json"),
});
