/** The name of whoever acted, as people say it: "lead:Ada" is Ada; a lead without a name is "a lead". */
import { t } from "../words/words.ts";

export function personOf(actor: string): string {
  const [role, ...rest] = actor.split(":");
  const name = rest.join(":").trim();
  if (name) return name;
  return role === "lead" ? t("lead.someLead") : actor;
}
