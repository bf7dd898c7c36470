/** One line on the crowd: relays, since when they were heard, how many boards look; or what is wrong. */
import { intlLocale, t } from "../../words/words.ts";
import type { CrowdNow } from "./use-crowd.ts";

export function CrowdLine({ now }: { now: CrowdNow | null }) {
  if (!now || (!now.publish && now.relays === 0)) return null;
  const { publish, relays, lastHeardMs, boards } = now;
  const trouble = publish?.trouble ?? null;
  return (
    <p className="crowd-line" data-relays={relays} data-boards={boards}>
      <a href="#crowd">{t("lead.crowd.title")}</a>
      {": "}
      {relays === 0
        ? t("lead.crowd.noRelays")
        : t("lead.crowd.relays", {
            relays,
            seconds: Math.round((lastHeardMs ?? 0) / 1000),
            boards: new Intl.NumberFormat(intlLocale()).format(boards),
          })}
      {trouble === null ? null : (
        <strong data-broker="away"> {t("lead.crowd.away", { address: publish?.address ?? "" })}</strong>
      )}
      {publish?.others ? (
        <strong data-broker={publish.others}>
          {" "}
          {publish.others === "same site"
            ? t("lead.crowd.twice", { address: publish.address })
            : t("lead.crowd.others", { address: publish.address })}
        </strong>
      ) : null}
    </p>
  );
}
