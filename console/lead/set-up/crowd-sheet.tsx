/**
 * The crowd's sheet: a poster with the board's code and the cautions, to be printed; over it, never on
 * paper, how the board goes out, the address that the poster gives, and who may show the board in a frame.
 */
import { useState } from "react";
import { localEclipse } from "../../../shared/plan/local-eclipse.ts";
import { t, type WordKey } from "../../words/words.ts";
import { CrowdLine } from "../shell/crowd-line.tsx";
import { QrCode } from "../shell/join/qr-code.tsx";
import { useLead } from "../shell/lead-context.ts";
import { ProblemLine } from "../shell/problem-line.tsx";
import { SheetControls } from "../shell/sheet-controls.tsx";
import { boardAddress, type CrowdKept, useCrowd } from "../shell/use-crowd.ts";
import { MarshalCard } from "./marshal-card.tsx";
import { useNetwork } from "./use-network.ts";
import "../shell/sheets.css";
import "./crowd-sheet.css";

const CAUTIONS: readonly WordKey[] = [
  "lead.crowd.poster.glasses",
  "lead.crowd.poster.optics",
  "lead.crowd.poster.children",
  "lead.crowd.poster.lookDown",
  "lead.crowd.poster.noFit",
  "lead.crowd.poster.local",
];

export function CrowdSheet(props: { close: () => void }) {
  const { view } = useLead();
  const crowd = useCrowd();
  const network = useNetwork();
  const plan = view.state?.plan;
  const origin =
    crowd.now?.address ?? network?.origins[0] ?? network?.secureOrigins[0] ?? window.location.origin;
  const url = crowd.now ? boardAddress(origin, crowd.now.key) : null;
  const total = localEclipse(view.state?.circumstances ?? null).kind === "total";
  return (
    <main className="sheet" data-screen="crowd">
      <SheetControls close={props.close} />
      <section className="crowd-controls no-print">
        <CrowdLine now={crowd.now} />
        {isOwnMachine(origin) && (
          <p className="says says--wrong" data-poster-trouble="own machine">
            {t("lead.crowd.ownMachine")}
          </p>
        )}
        {crowd.now && (
          <CrowdForm
            key={JSON.stringify([crowd.now.address, crowd.now.embed])}
            crowd={crowd}
            origin={origin}
          />
        )}
        <MarshalCard />
      </section>
      <article className="sheet__page poster" data-poster={url}>
        <h1>{t("lead.crowd.poster.title")}</h1>
        <p className="poster__site">{[plan?.site?.name, plan?.group].filter(Boolean).join(" · ")}</p>
        {url && <QrCode text={url} label={t("lead.crowd.poster.scan")} />}
        <p className="poster__says">{t("lead.crowd.poster.scan")}</p>
        <p className="sheet__url">{url}</p>
        <p className="poster__rule">
          {t(total ? "lead.crowd.poster.rule.total" : "lead.crowd.poster.rule.partial")}
        </p>
        <ul>
          {CAUTIONS.map((key) => (
            <li key={key}>{t(key)}</li>
          ))}
        </ul>
      </article>
    </main>
  );
}

/** An address that only this laptop itself reaches: a hub on no network, or a mistake. */
function isOwnMachine(origin: string): boolean {
  return /^https?:\/\/(localhost|127\.[\d.]+|\[::1\])(:|$)/.test(origin);
}

/** As a lead types it: capitals and a stroke at the end are not meant. */
function asOrigin(typed: string): string {
  const trimmed = typed.trim().replace(/\/+$/, "");
  return /^https?:\/\/[^/?#]+$/i.test(trimmed) ? trimmed.toLowerCase() : trimmed;
}

/** `origin`: where the board is found as long as nothing else was typed. */
function CrowdForm({ crowd, origin }: { crowd: CrowdKept; origin: string }) {
  const [address, setAddress] = useState(crowd.now?.address ?? "");
  const [embed, setEmbed] = useState((crowd.now?.embed ?? []).join("\n"));
  const lines = embed.split(/\s+/).filter(Boolean).map(asOrigin);
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        void crowd.keep({ address: asOrigin(address) || null, embed: lines });
      }}
    >
      <label>
        {t("lead.crowd.address")}
        <input
          type="url"
          dir="ltr"
          value={address}
          placeholder="https://board.example.org"
          onChange={(event) => setAddress(event.target.value)}
        />
      </label>
      <label>
        {t("lead.crowd.embed")}
        <textarea
          dir="ltr"
          rows={2}
          value={embed}
          placeholder="https://example.org"
          onChange={(event) => setEmbed(event.target.value)}
        />
      </label>
      {lines.length > 0 && crowd.now && (
        <p>
          {t("lead.crowd.embedLine")}{" "}
          <code dir="ltr">{`<iframe src="${boardAddress(asOrigin(address) || origin, crowd.now.key)}"></iframe>`}</code>
        </p>
      )}
      <ProblemLine problem={crowd.problem} />
      <button type="submit" className="button">
        {t("lead.crowd.keep")}
      </button>
    </form>
  );
}
