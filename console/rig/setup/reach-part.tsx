/** How this phone opens its page when the hub is gone, and the way to more than plain http gives. */
import { type AtHand, useAtHand } from "../../offline/keep-at-hand.ts";
import { useWords, type WordKey } from "../../words/words.ts";

const OPENS: Record<AtHand["opens"], WordKey> = {
  "not yet": "rig.reach.notYet",
  "by reload": "rig.reach.byReload",
  "by address": "rig.reach.byAddress",
};

export function ReachPart() {
  const { t } = useWords();
  const { opens, newBuild } = useAtHand();
  return (
    <section className="rig-part" data-opens={opens}>
      <h2>{t("rig.reach.title")}</h2>
      <p>{t(OPENS[opens])}</p>
      {window.isSecureContext ? null : (
        <>
          <p>{t("rig.reach.more")}</p>
          <a className="rig-reach-link" data-action="trust" href="/trust">
            {t("rig.reach.trust")}
          </a>
        </>
      )}
      <a className="rig-reach-link" data-action="drill" href="/drill">
        {t("rig.drill")}
      </a>
      {newBuild ? (
        <p data-new-build>
          {t("rig.reach.newBuild")}{" "}
          <button type="button" data-action="reload" onClick={() => location.reload()}>
            {t("rig.reach.reload")}
          </button>
        </p>
      ) : null}
    </section>
  );
}
