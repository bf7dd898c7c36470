/** Who else leads: let another device in by a one-time code, and sign everybody else out. */
import { useState } from "react";
import { HoldButton } from "../../../parts/hold-button.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { useSend } from "../../shell/use-send.ts";
import { LeadCode, type MadeCode } from "./lead-code.tsx";
import "../../shell/sections.css";

export function LeadsScreen() {
  const { send, problem } = useSend();
  const [made, setMade] = useState<MadeCode | null>(null);
  const [ended, setEnded] = useState<number | null>(null);

  async function make() {
    const answer = await send<MadeCode>("POST", "/api/lead/code");
    if (answer.ok) setMade(answer.value);
  }

  async function endOthers() {
    const answer = await send<{ ended: number }>("DELETE", "/api/lead/sessions");
    setEnded(answer.ok ? answer.value.ended : null);
  }

  return (
    <div className="sections">
      <h1>{t("lead.leads.title")}</h1>
      <ProblemLine problem={problem} />
      <section>
        <h2>{t("lead.leads.letIn")}</h2>
        <p className="soft">{t("lead.leads.letInSays")}</p>
        {made && <LeadCode key={made.code} made={made} hide={() => setMade(null)} />}
        <Button action="make-code" onClick={() => void make()}>
          {t("lead.leads.make")}
        </Button>
      </section>
      <section>
        <h2>{t("lead.leads.others")}</h2>
        <p className="soft">{t("lead.leads.othersSays")}</p>
        <div className="sections__hold" data-action="end-others">
          <HoldButton
            label={t("lead.leads.endOthers")}
            hint={t("lead.leads.endOthersHint")}
            onHeld={() => void endOthers()}
          />
        </div>
        {ended !== null && <p role="status">{t("lead.leads.ended", { count: ended })}</p>}
      </section>
    </div>
  );
}
