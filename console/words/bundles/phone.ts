/** Words of the rig page's set-up and report screens, which come after the first draw. */
import english from "../en/phone.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/phone.json"),
  fr: () => import("../fr/phone.json"),
  ar: () => import("../ar/phone.json"),
});
