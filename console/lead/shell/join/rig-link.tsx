/** The link that joins a phone to a rig: shown on demand, as a QR code and as text; revocable. */
import { useState } from "react";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { HoldButton } from "../../../parts/hold-button.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import type { Problem } from "../hub-api.ts";
import { useLead } from "../lead-context.ts";
import { ProblemLine } from "../problem-line.tsx";
import { CodeCard } from "./code-card.tsx";

interface Link {
  url: string;
}

export function RigLink(props: { rig: Pick<Rig, "id" | "name"> }) {
  const { rig } = props;
  const { api } = useLead();
  const [link, setLink] = useState<Link | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [revoked, setRevoked] = useState(false);
  const path = `/api/rigs/${encodeURIComponent(rig.id)}/link`;

  async function fetchLink(revoke: boolean) {
    const answer = revoke ? await api.send<Link>("POST", path) : await api.get<Link>(path);
    setProblem(answer.ok ? null : answer.problem);
    if (!answer.ok) return;
    setLink(answer.value);
    setRevoked(revoke);
  }
  if (!link)
    return (
      <div>
        <Button action="show-link" onClick={() => void fetchLink(false)}>
          {t("lead.join.show")}
        </Button>
        <ProblemLine problem={problem} />
      </div>
    );
  return (
    <CodeCard text={link.url} label={t("lead.join.qr", { rig: rig.name })} data={{ "data-link": link.url }}>
      <p>{t("lead.join.scan", { rig: rig.name })}</p>
      <p className="code-card__url">{link.url}</p>
      {revoked && <p role="status">{t("lead.join.revoked")}</p>}
      <ProblemLine problem={problem} />
      <div className="code-card__actions">
        <Button action="hide-link" kind="quiet" onClick={() => setLink(null)}>
          {t("lead.join.hide")}
        </Button>
        <div data-action="revoke-link">
          <HoldButton
            label={t("lead.join.revoke")}
            hint={t("lead.join.revokeHint")}
            onHeld={() => void fetchLink(true)}
          />
        </div>
      </div>
    </CodeCard>
  );
}
