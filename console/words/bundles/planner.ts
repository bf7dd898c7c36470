/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/planner.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/planner.json"),
  fr: () => import("../fr/planner.json"),
  ar: () => import("../ar/planner.json"),
});
