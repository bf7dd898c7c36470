/** Words of what only instruments say of a rig (shared/run/facts/instrument-fields.ts): the lead's alone. */
import english from "../en/instruments.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/instruments.json"),
  fr: () => import("../fr/instruments.json"),
  ar: () => import("../ar/instruments.json"),
});
