/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/drill.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/drill.json"),
  fr: () => import("../fr/drill.json"),
  ar: () => import("../ar/drill.json"),
});
