/** A one-time code for another lead's device: to scan, or to type. */

import { useNow } from "../../../link/use-session.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { CodeCard } from "../../shell/join/code-card.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { shortLength } from "../../shell/short-length.ts";
import { atBestOrigin, useNetwork } from "../use-network.ts";

export interface MadeCode {
  code: string;
  url: string;
  endsAtUtcMs: number;
}

export function LeadCode(props: { made: MadeCode; hide: () => void }) {
  const { made, hide } = props;
  const { session } = useLead();
  const network = useNetwork();
  const leftMs = made.endsAtUtcMs - useNow(session, 1000);
  if (leftMs <= 0) return <p role="status">{t("lead.leads.over")}</p>;
  const url = atBestOrigin(made.url, network);
  return (
    <CodeCard text={url} label={t("lead.leads.qr")} data={{ "data-code": made.code }}>
      <p>{t("lead.leads.scan")}</p>
      <p className="code-card__url">
        <bdi dir="ltr">{url.split("#")[0]}</bdi>
      </p>
      <p className="code-card__digits figures">
        <bdi dir="ltr">{grouped(made.code)}</bdi>
      </p>
      <p className="soft">{t("lead.leads.left", { time: shortLength(leftMs) })}</p>
      <Button action="hide-code" kind="quiet" onClick={hide}>
        {t("lead.join.hide")}
      </Button>
    </CodeCard>
  );
}

/** "1234 5678": to be read out and typed. */
function grouped(code: string): string {
  return code.replace(/(\d{4})(?=\d)/g, "$1 ");
}
