/** Words of alerts, by cause (shared/run/alerts/alert-entry.ts). */
import english from "../en/alerts.json";
import { registerWords } from "../words.ts";

registerWords(english, {
  es: () => import("../es/alerts.json"),
  fr: () => import("../fr/alerts.json"),
  ar: () => import("../ar/alerts.json"),
});
