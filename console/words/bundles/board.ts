/** Puts this part of the catalogue into the page that imports it. */
import english from "../en/board.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/board.json"),
  fr: () => import("../fr/board.json"),
  ar: () => import("../ar/board.json"),
});
