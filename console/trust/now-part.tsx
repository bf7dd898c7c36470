/** Which of the tiers this phone has at this moment, and what that costs, line by line. */
import { useWords } from "../words/words.ts";
import { type Browser, type Gain, gainsOf, type Has, kindOfPhone, type Now } from "./trust-view.ts";

export function NowPart({ now, browser }: { now: Now; browser: Browser }) {
  const { t } = useWords();
  const told = now === "checking" ? "trusted" : now;
  return (
    <section className="trust-now">
      <h2>{now === "checking" ? t("trust.gain.reload.wait") : t(`trust.now.${told}`)}</h2>
      {now === "checking" ? null : <p>{t(`trust.now.${told}.says`)}</p>}
      <h3>{t("trust.gains")}</h3>
      <ul className="trust-gains">
        {gainsOf(browser).map(([gain, has]) => (
          <li key={gain} data-gain={gain} data-has={has}>
            <Mark has={has} />
            <span>
              <b>{t(`trust.${has}`)}</b> {t(`trust.gain.${gain}`)}
              <Remedy gain={gain} has={has} />
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Remedy({ gain, has }: { gain: Gain; has: Has }) {
  const { t } = useWords();
  if (gain === "cues") return null;
  if (has === "wait") return gain === "reload" ? <small>{t("trust.gain.reload.wait")}</small> : null;
  if (has === "no") return <small>{t(`trust.gain.${gain}.no`)}</small>;
  const iphone = gain === "install" && kindOfPhone(navigator.userAgent) === "iphone";
  return iphone ? <small>{t("trust.gain.install.iphone")}</small> : null;
}

/** A filled plate, an empty frame, a dashed one: told apart without colour. */
function Mark({ has }: { has: Has }) {
  return (
    <svg viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <rect
        x="2"
        y="2"
        width="20"
        height="20"
        fill={has === "yes" ? "currentColor" : "none"}
        stroke="currentColor"
        strokeWidth="2"
        strokeDasharray={has === "wait" ? "4 3" : undefined}
      />
      {has === "yes" ? (
        <path d="M6 12.5 10.5 17 18.5 7" fill="none" stroke="var(--paper)" strokeWidth="3" />
      ) : null}
    </svg>
  );
}
