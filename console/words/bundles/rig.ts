/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/rig.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/rig.json"),
  fr: () => import("../fr/rig.json"),
  ar: () => import("../ar/rig.json"),
});
