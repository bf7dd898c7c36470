/**
 * The steps on the phone itself. The menus are from memory and differ between makers and
 * versions, which the page says; what they lead to is checked by the page afterwards.
 */
import { useState } from "react";
import { useWords } from "../words/words.ts";
import { fingerprintLines, kindOfPhone } from "./trust-view.ts";

const KINDS = ["iphone", "android"] as const;
const STEPS = [1, 2, 3, 4] as const;

export function Steps({ fingerprint }: { fingerprint: string }) {
  const { t } = useWords();
  const [kind, setKind] = useState(() => kindOfPhone(navigator.userAgent));
  return (
    <section className="trust-steps" data-steps={kind}>
      <h2>{t("trust.steps.title")}</h2>
      <p className="trust-caution">{t("trust.steps.warn")}</p>
      <fieldset className="trust-kinds">
        <legend>{t("trust.steps.kind")}</legend>
        {KINDS.map((name) => (
          <button
            key={name}
            type="button"
            data-kind={name}
            aria-pressed={name === kind}
            onClick={() => setKind(name)}
          >
            {t(`trust.steps.${name}`)}
          </button>
        ))}
      </fieldset>
      <p>{t("trust.steps.compare")}</p>
      <p className="trust-fingerprint figures" dir="ltr" data-fingerprint={fingerprint}>
        {fingerprintLines(fingerprint).map((line) => (
          <span key={line}>{line}</span>
        ))}
      </p>
      <ol className="trust-list">
        {STEPS.map((step) => (
          <li key={step}>
            {t(`trust.steps.${kind}.${step}`)}
            {step === 1 ? (
              <a className="trust-download" data-action="download-root" href="/trust/noonfall-root.crt">
                {t("trust.steps.download")}
              </a>
            ) : null}
          </li>
        ))}
      </ol>
      <p>{t("trust.steps.menus")}</p>
      <p>{t("trust.steps.after")}</p>
    </section>
  );
}
