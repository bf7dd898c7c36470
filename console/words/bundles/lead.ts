/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/lead.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/lead.json"),
  fr: () => import("../fr/lead.json"),
  ar: () => import("../ar/lead.json"),
});
