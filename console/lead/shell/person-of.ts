/**
 * The name of whoever acted, as people say it: "lead:Ada" is Ada; a lead who signed in without a
 * name, whom the hub calls "lead:lead", is "a lead".
 */
import { t } from "../../words/words.ts";

export function personOf(actor: string): string {
  const [role, ...rest] = actor.split(":");
  const name = rest.join(":").trim();
  if (role === "lead" && (name === "" || name === "lead")) return t("lead.someLead");
  return name || actor;
}
