/**
 * The array in the minute around totality: one sentence, then only the rigs that need somebody, each
 * with its button; the quiet ones are tiles of mark and name. Above the table at any other time the
 * sentence stands alone.
 */
import type { CSSProperties, ReactNode } from "react";
import { neverShelved } from "../../../../shared/run/alerts/answerable.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import { t } from "../../../words/words.ts";
import { TakeButton } from "../../shell/alerts/answers-given.tsx";
import { reminderText } from "../../shell/alerts/reminder-text.ts";
import { SayButton } from "../../shell/alerts/say-button.tsx";
import { Button } from "../../shell/button.tsx";
import { shortLength } from "../../shell/short-length.ts";
import { useOrders } from "../../shell/use-order.tsx";
import type { RunNow } from "../../shell/use-run.ts";
import type { ArrayRow } from "./array-table.tsx";
import { type GlanceKind, glanceCounts, glanceKind, isCalm, isOnlyOpen, toneOf } from "./filter-glance.ts";
import type { Trouble } from "./rig-trouble.ts";
import { rowData, Tiles } from "./tiles.tsx";
import "./glance.css";

export function FilterSentence({ now, large }: { now: RunNow; large: boolean }) {
  const { rigs, contacts, runNow } = now.run;
  return (
    <p className="glance-sentence" data-glance-sentence data-large={large}>
      {glanceCounts(rigs, contacts, runNow).map(({ kind, count, tone }) => (
        <span key={kind} data-kind={kind} data-count={count} data-tone={tone}>
          {t(`glance.${kind}`, { count })}
        </span>
      ))}
    </p>
  );
}

/** Kinds that want somebody whatever else is known of the rig. */
const WANTS: readonly GlanceKind[] = ["open", "stillOn", "unknown"];
/** The same around C3: whatever is open, allowed or not. */
const OPEN: readonly GlanceKind[] = ["open", "off", "unknown"];

/** `children`: what else is to be pressed, at the foot. */
export function Glance({
  rows,
  now,
  children,
}: {
  rows: readonly ArrayRow[];
  now: RunNow;
  children: ReactNode;
}) {
  const { contacts, runNow } = now.run;
  const kindOf = (row: ArrayRow) => glanceKind(row.status, contacts, runNow);
  const onlyOpen = isOnlyOpen(contacts, runNow);
  const wants = onlyOpen ? OPEN : WANTS;
  const asks = ({ priority, cause }: Trouble) =>
    priority === "danger" || (priority !== "advice" && (!onlyOpen || neverShelved({ cause, priority })));
  const needs = rows.filter((row) => wants.includes(kindOf(row)) || row.troubles.some(asks));
  const quiet = rows.filter((row) => !needs.includes(row));
  const room = { "--needs": needs.length } as CSSProperties;
  return (
    <div className="glance" data-glance style={room}>
      {needs.length === 0 && isCalm(now) && <p className="glance__calm">{t("glance.calm")}</p>}
      <ul className="glance__needs">
        {needs.map((row) => (
          <Need key={row.status.rig.id} row={row} kind={kindOf(row)} now={now} />
        ))}
      </ul>
      <Tiles rows={quiet} now={now} />
      <div className="glance__foot">{children}</div>
    </div>
  );
}

function Need({ row, kind, now }: { row: ArrayRow; kind: GlanceKind; now: RunNow }) {
  const { status, troubles } = row;
  const { rig } = status;
  const urgent = troubles.filter(({ priority }) => priority !== "advice");
  // Named, and nothing is wrong yet.
  const named = kind === "stillOn" && toneOf(kind, now.run.contacts, now.run.runNow) === "plain";
  return (
    <li
      className="glance__need"
      data-need={rig.id}
      data-kind={kind}
      data-priority={urgent[0]?.priority ?? (named ? "none" : "caution")}
      {...rowData(status, now)}
    >
      <a className="glance__rig" href={`#array/${rig.id}`} data-action="open-rig">
        <FilterMark state={status.filter} exposed={status.exposed} />
        <span>
          <strong>{rig.name}</strong>
          {rig.operator !== "" && <bdi>{rig.operator}</bdi>}
        </span>
      </a>
      <div className="glance__says">
        {urgent.length === 0 && <p>{sentenceOf(kind, status, now)}</p>}
        {urgent.map(({ cause, priority, key, values }) => (
          <p key={cause} data-alert={cause} data-cause={cause} data-priority={priority} data-rig={rig.id}>
            {t(key, values)}
          </p>
        ))}
      </div>
      <Remind status={status} alertIds={urgent.map(({ alertId }) => alertId)} now={now} />
    </li>
  );
}

/** What is wrong where no alert stands yet. */
function sentenceOf(kind: GlanceKind, status: RigStatus, now: RunNow): string {
  const { c2, c3 } = now.run.contacts;
  const { runNow } = now.run;
  if (kind === "off" && c3 !== null)
    return runNow < c3
      ? t("glance.offUntil", { time: shortLength(c3 - runNow) })
      : t("glance.offPast", { time: shortLength(runNow - c3) });
  if (kind === "stillOn" && c2 !== null)
    return runNow < c2
      ? t("glance.stillOnBefore", { time: shortLength(c2 - runNow) })
      : t("glance.stillOnSays", { time: shortLength(runNow - c2) });
  if (kind === "unknown")
    return status.lastUtcMs === null
      ? t("glance.neverHeard")
      : t("glance.unknownSays", { time: shortLength(now.now - status.lastUtcMs) });
  return t("glance.openSays");
}

/** Word from the lead to that rig's phones. */
function Remind({ status, alertIds, now }: { status: RigStatus; alertIds: string[]; now: RunNow }) {
  const { give, waiting } = useOrders();
  // Somebody who calls wants to hear that somebody comes.
  if (status.help?.value)
    return (
      <Button
        action="answer-help"
        disabled={waiting !== null}
        onClick={() => void give({ type: "answerHelp", rigId: status.rig.id })}
      >
        {t("lead.help.coming")}
      </Button>
    );
  return (
    <span className="glance__acts">
      <SayButton rigs={[status]} text={reminderText(status)} ask={false} now={now} />
      {alertIds.length > 0 && <TakeButton group={{ alertIds }} now={now} />}
    </span>
  );
}
