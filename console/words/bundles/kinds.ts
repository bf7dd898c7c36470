/** Kinds of rigs and their set-up checks. */
import english from "../en/kinds.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/kinds.json"),
  fr: () => import("../fr/kinds.json"),
  ar: () => import("../ar/kinds.json"),
});
