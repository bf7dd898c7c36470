/**
 * The sheet by which people join: one code per rig and one for visitors, the addresses in text,
 * what to set on the phones, and what to look at when nobody arrives. Black on white on paper.
 */

import { ownValue } from "../../../shared/fields/own-key.ts";
import { peopleOfRigs } from "../../../shared/plan/hands/people.ts";
import type { Rig } from "../../../shared/plan/model/plan.ts";
import { type Wifi, wifiText } from "../../../shared/protocol/wifi.ts";
import type { NetworkAnswer } from "../../link/network-answer.ts";
import { t, type WordKey } from "../../words/words.ts";
import { QrCode } from "../shell/join/qr-code.tsx";
import { useLead } from "../shell/lead-context.ts";
import { ProblemLine } from "../shell/problem-line.tsx";
import { SheetControls } from "../shell/sheet-controls.tsx";
import { boardAddress, useCrowd } from "../shell/use-crowd.ts";
import { useJoinLinks } from "./use-join-links.ts";
import { atBestOrigin, useNetwork } from "./use-network.ts";
import { useWifi } from "./use-wifi.ts";
import { WifiForm } from "./wifi-form.tsx";
import "../shell/sheets.css";

/** Characters in a code that a phone still reads from paper: common practice, no source. */
const QR_MOST = 700;

const PHONE_ADVICE: readonly WordKey[] = [
  "lead.sheet.phone.airplane",
  "lead.sheet.phone.stay",
  "lead.sheet.phone.dns",
  "lead.sheet.phone.lock",
  "lead.sheet.phone.sound",
  "lead.sheet.phone.arm",
  "lead.sheet.phone.one",
  "lead.sheet.phone.safari",
];
const NOBODY: readonly WordKey[] = [
  "lead.sheet.nobody.network",
  "lead.sheet.nobody.isolation",
  "lead.sheet.nobody.firewall",
  "lead.sheet.nobody.vpn",
  "lead.sheet.nobody.address",
];

const TIER_WORDS = {
  "own certificate": "lead.sheet.tier.own",
  "local authority": "lead.sheet.tier.local",
  none: "lead.sheet.tier.none",
} as const satisfies Record<NetworkAnswer["tier"], WordKey>;

export function JoinSheet(props: { close: () => void }) {
  const { view } = useLead();
  const plan = view.state?.plan;
  const rigs = plan?.rigs ?? [];
  const { byRig, problem } = useJoinLinks(rigs);
  const network = useNetwork();
  const wifi = useWifi();
  const origin = originOf(Object.values(byRig)[0]) ?? window.location.origin;
  const crowd = useCrowd();
  const board = crowd.now?.address ?? origin;
  const visitors = crowd.now ? boardAddress(board, crowd.now.key) : `${board}/board`;
  const trust = `${origin}/trust`;
  const linkOf = (rigId: string): string | undefined => {
    const url = ownValue(byRig, rigId);
    return url === undefined ? undefined : atBestOrigin(url, network);
  };
  return (
    <main className="sheet" data-screen="join-sheet">
      <SheetControls close={props.close} />
      <ProblemLine problem={problem} />
      {wifi.wifi !== undefined && <WifiForm kept={wifi} now={wifi.wifi} />}
      <article className="sheet__page">
        <header className="sheet__head">
          <h1>{t("lead.sheet.joinTitle", { site: plan?.site?.name ?? "" })}</h1>
          <p>{t("lead.sheet.joinSays")}</p>
        </header>
        <ul className="sheet__codes">
          {wifi.wifi && <WifiCode wifi={wifi.wifi} />}
          {peopleOfRigs({ rigs })
            .filter((person) => person.rigs.length > 1)
            .map(({ key, name, rigs }) => (
              <PersonCode key={key} name={name} rigs={rigs} url={oneLink(rigs.map(({ id }) => linkOf(id)))} />
            ))}
          {rigs.map((rig) => (
            <li key={rig.id} className="sheet__code" data-sheet-rig={rig.id}>
              <h2>{rig.name}</h2>
              <p>{[t(`rigKind.${rig.kind}`), rig.operator].filter(Boolean).join(" · ")}</p>
              {linkOf(rig.id) && (
                <QrCode text={linkOf(rig.id) ?? ""} label={t("lead.join.qr", { rig: rig.name })} />
              )}
              <p className="sheet__url">{linkOf(rig.id)}</p>
            </li>
          ))}
          {network?.tier === "local authority" && (
            <li className="sheet__code sheet__code--apart" data-sheet-trust={trust}>
              <CodeForAll title={t("lead.sheet.trust")} says={t("lead.sheet.trustSays")} url={trust} />
            </li>
          )}
          <li className="sheet__code sheet__code--apart" data-sheet-visitors={visitors}>
            <CodeForAll title={t("lead.sheet.visitors")} says={t("lead.sheet.visitorsSay")} url={visitors} />
          </li>
        </ul>
        <div className="sheet__advice">
          <section>
            <h2>{t("lead.sheet.phoneTitle")}</h2>
            {network && (
              <p data-sheet-tier={network.tier}>{t(TIER_WORDS[network.tier], { address: origin })}</p>
            )}
            <ul>
              {PHONE_ADVICE.map((key) => (
                <li key={key}>{t(key)}</li>
              ))}
            </ul>
          </section>
          <section>
            <h2>{t("lead.sheet.nobodyTitle")}</h2>
            <ol>
              {NOBODY.map((key) => (
                <li key={key}>{t(key, { address: `${origin}/board` })}</li>
              ))}
            </ol>
          </section>
        </div>
        <p className="cue-sheet__foot">{t("rules.caution")}</p>
      </article>
    </main>
  );
}

/** One code for all rigs in a person's hands. */
function PersonCode({ name, rigs, url }: { name: string; rigs: readonly Rig[]; url: string | null }) {
  if (url === null) return null;
  return (
    <li className="sheet__code" data-sheet-person={name}>
      <h2>{t("lead.sheet.person", { person: name, count: rigs.length })}</h2>
      <p>{rigs.map((rig) => rig.name).join(" · ")}</p>
      <QrCode text={url} label={t("lead.join.qr", { rig: rigs.map((rig) => rig.name).join(", ") })} />
    </li>
  );
}

/** The links of several rigs as one; null while one is missing, and where no phone could read the code. */
function oneLink(links: readonly (string | undefined)[]): string | null {
  const known = links.filter((link) => link !== undefined);
  if (known.length < links.length) return null;
  const url = known.reduce((all, link) => `${all}&${new URL(link).hash.slice(1)}`);
  return url.length <= QR_MOST ? url : null;
}

/** The code that joins the network, and what to type where it is not taken. */
function WifiCode({ wifi }: { wifi: Wifi }) {
  return (
    <li className="sheet__code sheet__code--apart" data-sheet-wifi={wifi.name}>
      <h2>{t("lead.wifi.title")}</h2>
      <p>{t("lead.wifi.first")}</p>
      <QrCode text={wifiText(wifi)} label={t("lead.wifi.qr", { name: wifi.name })} />
      <dl className="sheet__wifi">
        <dt>{t("lead.wifi.network")}</dt>
        <dd>
          <bdi>{wifi.name}</bdi>
        </dd>
        <dt>{t("lead.wifi.word")}</dt>
        <dd>{wifi.password === "" ? t("lead.wifi.open") : <bdi dir="ltr">{wifi.password}</bdi>}</dd>
      </dl>
    </li>
  );
}

/** A code that anyone may scan: what it is, what it gives, its address. */
function CodeForAll(props: { title: string; says: string; url: string }) {
  return (
    <>
      <h2>{props.title}</h2>
      <p>{props.says}</p>
      <QrCode text={props.url} label={props.title} />
      <p className="sheet__url">{props.url}</p>
    </>
  );
}

function originOf(url: string | undefined): string | null {
  try {
    return url ? new URL(url).origin : null;
  } catch {
    return null;
  }
}
