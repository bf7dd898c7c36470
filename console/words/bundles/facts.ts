/** Words of what is reported of a rig (shared/run/facts/reported-fields.ts): phone and lead. */
import english from "../en/facts.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/facts.json"),
  fr: () => import("../fr/facts.json"),
  ar: () => import("../ar/facts.json"),
});
