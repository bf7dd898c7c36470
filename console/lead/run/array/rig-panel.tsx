/** One rig, opened beside the array: everything known of it, and what a lead can do for it. */

import { ownValue } from "../../../../shared/fields/own-key.ts";
import { setUpChecksFor } from "../../../../shared/plan/defaults/set-up-checks.ts";
import { runTime } from "../../../../shared/run/run-time.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import { boundText, clockText } from "../../../parts/time-format.ts";
import { putWords } from "../../../parts/words-for-cue.ts";
import { isWordKey, t } from "../../../words/words.ts";
import { reminderText } from "../../shell/alerts/reminder-text.ts";
import { SayButton } from "../../shell/alerts/say-button.tsx";
import { Button } from "../../shell/button.tsx";
import { RigLink } from "../../shell/join/rig-link.tsx";
import { MessageForm } from "../../shell/message-form.tsx";
import { go } from "../../shell/route.ts";
import { shortLength } from "../../shell/short-length.ts";
import { useKey } from "../../shell/use-keys.ts";
import { useOrders } from "../../shell/use-order.tsx";
import type { RunNow } from "../../shell/use-run.ts";
import { cueStateWords } from "./cue-state-words.ts";
import { RigFacts } from "./rig-facts.tsx";
import { RigHistory } from "./rig-history.tsx";
import type { Trouble } from "./rig-trouble.ts";
import { TakeOver } from "./take-over.tsx";
import { VariantForm } from "./variant-form.tsx";
import "./rig-panel.css";

export function RigPanel(props: { status: RigStatus; now: RunNow; troubles: readonly Trouble[] }) {
  const { status, now, troubles } = props;
  const { rig, verdict } = status;
  const { give } = useOrders();
  useKey("Escape", () => go("array"));
  return (
    <aside className="rig-panel" aria-label={rig.name} data-rig-panel={rig.id}>
      <header className="rig-panel__head">
        <div>
          <h2>{rig.name}</h2>
          <p className="soft">{[t(`rigKind.${rig.kind}`), rig.operator].filter(Boolean).join(" · ")}</p>
        </div>
        <Button action="close-rig" kind="quiet" onClick={() => go("array")}>
          {t("lead.close")}
        </Button>
      </header>
      {troubles.length > 0 && (
        <ul className="rig-panel__troubles">
          {troubles.map((one) => (
            <li key={one.cause} data-priority={one.priority}>
              {t(`alert.${one.priority}`)} · {t(one.key, one.values)}
            </li>
          ))}
        </ul>
      )}
      {status.help?.value && (
        <Button
          action="answer-help"
          kind="main"
          onClick={() => void give({ type: "answerHelp", rigId: rig.id })}
        >
          {t("lead.help.coming")}
        </Button>
      )}
      <section className="rig-panel__section" data-say>
        <SayButton rigs={[status]} text={reminderText(status)} ask={false} now={now} />
        <MessageForm rigIds={[rig.id]} />
      </section>
      <TakeOver status={status} />
      <section className="rig-panel__section">
        <VariantForm now={now} rigId={rig.id} />
      </section>
      <section className="rig-panel__filter">
        <FilterMark state={status.filter} exposed={status.exposed} size="large" />
        {verdict.word && (
          <p className="soft">
            {t("lead.filter.said", { time: clockText(runTime(now.practice, verdict.word.observedUtcMs)) })}
            {ownValue(now.state.devices, verdict.word.deviceId)?.label ? " · " : null}
            <bdi>{ownValue(now.state.devices, verdict.word.deviceId)?.label}</bdi>
          </p>
        )}
        {verdict.disputedBy.map((word) => (
          <p key={word.deviceId}>
            {t("lead.filter.disputed", {
              time: clockText(runTime(now.practice, word.observedUtcMs)),
              state: isWordKey(`filter.${word.value}`) ? t(`filter.${word.value}`) : word.value,
            })}
          </p>
        ))}
      </section>
      <RigHistory status={status} now={now} />
      <RigFacts status={status} practice={now.practice} />
      <CueMarks status={status} now={now} />
      <Checks status={status} />
      <section className="rig-panel__section">
        <h3>{t("lead.panel.phones")}</h3>
        {status.linked.length === 0 && <p className="soft">{t("lead.panel.noPhone")}</p>}
        <ul className="rig-panel__list">
          {status.linked.map((device) => (
            <li key={device.deviceId}>
              <bdi>{device.label || t("lead.panel.device")}</bdi> ·{" "}
              {t(device.armed ? "lead.link.armed" : "lead.link.notArmed")} ·{" "}
              <bdi>{boundText(device.boundMs)}</bdi> ·{" "}
              {t("lead.panel.linkedFor", { time: shortLength(now.now - device.sinceUtcMs) })}
            </li>
          ))}
        </ul>
        <RigLink rig={rig} />
      </section>
    </aside>
  );
}

/** The cues with their marks; what is over and done folds away. */
function CueMarks(props: { status: RigStatus; now: RunNow }) {
  const { status, now } = props;
  const over = status.cues.filter((cue) => cue.state === "done" || cue.state === "skipped");
  const open = status.cues.filter((cue) => cue.state !== "done" && cue.state !== "skipped");
  const list = (cues: typeof over) => (
    <ol className="rig-panel__cues">
      {cues.map((cue) => (
        <li key={cue.id} data-cue={cue.id} data-cue-state={cue.state}>
          <span className="figures">{clockText(cue.dueMs)}</span>
          <span>{putWords(cue)}</span>
          <small>{cueStateWords(cue, now.run.runNow, now.run.contacts.c3)}</small>
        </li>
      ))}
    </ol>
  );
  return (
    <section className="rig-panel__section">
      <h3>{t("lead.panel.cues")}</h3>
      {over.length > 0 && (
        <details>
          <summary>{t("lead.panel.over", { count: over.length })}</summary>
          {list(over)}
        </details>
      )}
      {list(open)}
    </section>
  );
}

function Checks(props: { status: RigStatus }) {
  const { status } = props;
  const checks = setUpChecksFor(status.rig);
  const open = checks.filter((check) => !status.checks[check]?.value);
  return (
    <section className="rig-panel__section" data-checks-open={open.length}>
      <h3>{t("lead.panel.checks", { done: checks.length - open.length, of: checks.length })}</h3>
      {open.length > 0 && (
        <details>
          <summary>{t("lead.panel.checksOpen", { count: open.length })}</summary>
          <ul className="rig-panel__list">
            {open.map((check) => (
              <li key={check}>{t(`check.${check}`)}</li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}
