/** The roll call: who is ready, who is not and why, who has not answered, and how long they still have. */
import { useState } from "react";
import { rollAnswers } from "../../../../shared/run/views/roll-answers.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import { shortLength } from "../short-length.ts";
import { useOrders } from "../use-order.tsx";
import { type RunNow, useRun } from "../use-run.ts";
import { Addressees } from "./addressees.tsx";
import "../../../words/bundles/facts.ts";
import "./say.css";

const WITHIN_S = [30, 60, 120, 300] as const;

export function RollPanel() {
  const now = useRun();
  const { give, waiting } = useOrders();
  const [withinS, setWithinS] = useState<number>(60);
  const [to, setTo] = useState<readonly string[] | null>(null);
  if (!now) return null;
  return (
    <div className="say-panel">
      <Addressees now={now} rigIds={to} onChange={setTo} />
      <label className="say-panel__field">
        {t("lead.roll.within")}
        <select
          className="field"
          value={withinS}
          data-action="roll-within"
          onChange={(event) => setWithinS(Number(event.target.value))}
        >
          {WITHIN_S.map((s) => (
            <option key={s} value={s}>
              {shortLength(s * 1000)}
            </option>
          ))}
        </select>
      </label>
      <Button
        action="call-roll"
        kind="main"
        disabled={waiting !== null || to?.length === 0}
        onClick={() => void give({ type: "callRoll", rigIds: to && [...to], withinS })}
      >
        {t("lead.roll.do")}
      </Button>
      <RollResult now={now} />
    </div>
  );
}

/** What has come back; nothing before a roll was called. */
function RollResult({ now }: { now: RunNow }) {
  const { roll } = now.state;
  if (!roll) return null;
  const answers = rollAnswers(now.state, now.run.run, roll);
  const leftMs = roll.untilUtcMs - now.now;
  const ready = answers.filter((one) => one.ready === "ready");
  const missing = answers.filter((one) => one.ready === null);
  const lacking = answers.filter((one) => one.ready !== null && one.ready !== "ready");
  const nameOf = (rigId: string) => {
    const rig = now.state.plan.rigs.find(({ id }) => id === rigId);
    return rig ? [rig.name, rig.operator].filter(Boolean).join(", ") : rigId;
  };
  return (
    <section
      className="roll"
      aria-label={t("lead.roll.title")}
      data-roll={roll.rollId}
      data-ready={ready.length}
      data-asked={answers.length}
      data-open={leftMs > 0}
    >
      <p className="roll__sum">
        <strong>{t("lead.roll.ready", { count: ready.length, all: answers.length })}</strong>{" "}
        {leftMs > 0 ? t("lead.roll.left", { time: shortLength(leftMs) }) : t("lead.roll.over")}
      </p>
      <ul className="roll__list">
        {ready
          .filter(({ late }) => late)
          .map(({ rigId }) => (
            <li key={rigId} data-rig={rigId} data-answer="late">
              {nameOf(rigId)}: <strong>{t("lead.roll.late")}</strong>
            </li>
          ))}
        {lacking.map(({ rigId, ready: lack }) => (
          <li key={rigId} data-rig={rigId} data-answer={lack}>
            {nameOf(rigId)}: <strong>{t(`fact.ready.${lack ?? "other"}`)}</strong>
          </li>
        ))}
        {missing.map(({ rigId }) => (
          <li key={rigId} data-rig={rigId} data-answer="none">
            {nameOf(rigId)}: <strong>{t("lead.roll.noAnswer")}</strong>
          </li>
        ))}
      </ul>
    </section>
  );
}
