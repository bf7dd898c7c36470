/** The page: what this phone has now, the steps to more, a check, and the way on. */
import "../words/bundles/pieces.ts";
import { useCallback, useEffect, useState } from "react";
import type { NetworkAnswer } from "../link/network-answer.ts";
import { useAtHand } from "../offline/keep-at-hand.ts";
import { EmptyNote } from "../parts/empty-note.tsx";
import { LanguageSelect } from "../parts/language-select.tsx";
import { usePalette } from "../parts/use-palette.ts";
import { chooseLanguage } from "../rig/device/language.ts";
import { useWords } from "../words/words.ts";
import { askNetwork, type KeptHere, keptHere, tryHttps } from "./hub-answers.ts";
import { NowPart } from "./now-part.tsx";
import { Steps } from "./steps.tsx";
import { type Browser, canAsk, nowOf, rigUrl, secureOriginFor } from "./trust-view.ts";

/** "cannot tell": this page may not ask that address. */
type Verdict = "trying" | "ok" | "bad" | "gone" | "cannot tell";

export function TrustPage() {
  const { t } = useWords();
  usePalette(null, () => null);
  const [network, setNetwork] = useState<NetworkAnswer | "asking" | "failed">("asking");
  const [kept, setKept] = useState<KeptHere>({ rigs: [], queued: 0 });
  const { opens } = useAtHand();
  const browser: Browser = {
    protocol: window.location.protocol,
    secureContext: window.isSecureContext,
    opens,
    wakeLock: "wakeLock" in navigator,
    geolocation: "geolocation" in navigator,
  };
  const ask = useCallback(() => {
    setNetwork("asking");
    askNetwork().then(setNetwork, () => setNetwork("failed"));
  }, []);
  useEffect(() => {
    ask();
    void keptHere(window.location.hash).then(setKept);
  }, [ask]);
  const now = nowOf(browser);
  return (
    <main
      className="trust"
      data-page="trust"
      data-now={now}
      data-tier={typeof network === "string" ? undefined : network.tier}
    >
      <header>
        <h1>{t("trust.title")}</h1>
        <p>{t("trust.lead")}</p>
        <p className="trust-language">
          {t("language.label")} <LanguageSelect choose={(locale) => void chooseLanguage(locale)} />
        </p>
      </header>
      <NowPart now={now} browser={browser} />
      {network === "asking" ? <EmptyNote text={t("trust.loading")} /> : null}
      {network === "failed" ? (
        <EmptyNote
          text={t("trust.failed")}
          action={
            <button type="button" onClick={ask}>
              {t("trust.again")}
            </button>
          }
        />
      ) : null}
      {typeof network === "string" ? null : <WayOn network={network} now={now} kept={kept} />}
    </main>
  );
}

function WayOn({
  network,
  now,
  kept,
}: {
  network: NetworkAnswer;
  now: ReturnType<typeof nowOf>;
  kept: KeptHere;
}) {
  const { t } = useWords();
  const origin = secureOriginFor(window.location.hostname, window.location.host, network);
  const [verdict, setVerdict] = useState<Verdict>("trying");
  const plain = now === "http" || now === "own";
  const check = useCallback(() => {
    if (!origin || !plain) return;
    if (!canAsk(origin, window.location.host)) return setVerdict("cannot tell");
    setVerdict("trying");
    void tryHttps(origin).then(setVerdict);
  }, [origin, plain]);
  useEffect(check, [check]);
  const stay = rigUrl("", kept.rigs);
  if (now === "trusted" || now === "checking") {
    return (
      <p>
        <a className="trust-go" data-action="open-rig" href={stay}>
          {t("trust.go.rig")}
        </a>
      </p>
    );
  }
  const steps =
    network.tier === "local authority" && network.authorityFingerprint !== null && verdict !== "ok";
  return (
    <>
      <p>{t(tierKey(network, origin))}</p>
      {origin && steps ? <Steps fingerprint={network.authorityFingerprint ?? ""} /> : null}
      {origin && plain ? (
        <section aria-live="polite" data-check={verdict}>
          <p className={verdict === "ok" ? "trust-ok" : undefined}>
            {t(verdictKey(verdict, network), { address: origin })}
          </p>
          {verdict === "ok" ? (
            <>
              {kept.queued > 0 ? (
                <p className="trust-caution" role="alert">
                  {t("trust.go.queued", { count: kept.queued })}
                </p>
              ) : null}
              <p>
                {kept.rigs.length > 0
                  ? t("trust.go.rigs", { rigs: kept.rigs.map((rig) => rig.id).join(" · ") })
                  : t("trust.go.noRigs")}
              </p>
              <a
                className="trust-go"
                data-action="go-secure"
                href={kept.rigs.length > 0 ? rigUrl(origin, kept.rigs) : `${origin}/trust`}
              >
                {t("trust.go", { address: origin })}
              </a>
              <p>{t("trust.go.one")}</p>
            </>
          ) : verdict === "cannot tell" ? (
            <a className="trust-go" data-action="look-secure" href={`${origin}/trust`}>
              {t("trust.look", { address: origin })}
            </a>
          ) : (
            <button type="button" data-action="check-trust" disabled={verdict === "trying"} onClick={check}>
              {t("trust.check")}
            </button>
          )}
        </section>
      ) : null}
      <p>
        <a data-action="stay" href={stay}>
          {t(now === "http" ? "trust.go.stay" : "trust.go.rig")}
        </a>
      </p>
    </>
  );
}

function tierKey(network: NetworkAnswer, origin: string | null) {
  if (network.tier === "none") return "trust.tier.none";
  if (!origin) return "trust.tier.elsewhere";
  return network.tier === "own certificate" ? "trust.tier.own" : "trust.tier.local";
}

function verdictKey(verdict: Verdict, network: NetworkAnswer) {
  if (verdict === "trying") return "trust.check.trying";
  if (verdict === "ok") return "trust.check.ok";
  if (verdict === "gone") return "trust.check.gone";
  if (verdict === "cannot tell") return "trust.check.cannotTell";
  return network.tier === "own certificate" ? "trust.check.badOwn" : "trust.check.bad";
}
