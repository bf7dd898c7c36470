/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/plan.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/plan.json"),
  fr: () => import("../fr/plan.json"),
  ar: () => import("../ar/plan.json"),
});
