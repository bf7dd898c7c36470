/** One alert as it is listed: what it is, for how long, whom it concerns, and its button. */

import { isHubCause } from "../../../../shared/run/alerts/hub-alerts.ts";
import "../../../words/bundles/alerts.ts";
import { AlertLine } from "../../../parts/alert-line.tsx";
import { isWordKey, t } from "../../../words/words.ts";
import { shortLength } from "../short-length.ts";
import type { RunNow } from "../use-run.ts";
import { AlertAction } from "./alert-action.tsx";
import { alertFigures } from "./alert-figures.ts";
import type { AlertGroup } from "./alert-groups.ts";
import { type AlertLength, alertLength } from "./alert-length.ts";
import { alertText } from "./alert-text.ts";
import { ShelveButton } from "./answers-given.tsx";

interface AlertItemProps {
  group: AlertGroup;
  now: RunNow;
  compact?: boolean;
}

/** `compact`: beside others, with one button for what is to be done. */
export function AlertItem({ group, now, compact = false }: AlertItemProps) {
  const { cause, priority, rigIds } = group;
  const rigs = rigIds.flatMap((id) => now.state.plan.rigs.find((rig) => rig.id === id) ?? []);
  const [first] = rigs;
  const alone = rigIds.length === 1 ? now.run.rigs.find(({ rig }) => rig.id === rigIds[0]) : undefined;
  const length = lengthText(alertLength(group, alone, now.run, now.alerts));
  const who = rigs.length > 1 ? rigs.map((rig) => rig.name).join(", ") : first?.operator;
  const advice = isHubCause(cause) ? t(`alert.${cause}.do`) : undefined;
  return (
    <div
      className="alert-list__item"
      data-alert={cause}
      data-priority={priority}
      data-cause={cause}
      data-rig={rigIds.join(" ")}
    >
      <AlertLine
        priority={priority}
        announce={priority !== "advice"}
        title={alertSentence(group, now)}
        detail={[advice, length, who].filter(Boolean).join(" · ")}
      >
        <AlertAction group={group} now={now} compact={compact} />
        <ShelveButton group={group} now={now} />
      </AlertLine>
    </div>
  );
}

function lengthText({ from, ms }: AlertLength): string {
  const time = shortLength(ms);
  if (from === "C3") return t("alert.exposed.rowAfter", { time });
  if (from === "due") return t("lead.cue.late", { time });
  return t("lead.alert.standing", { time });
}

/** One rig's sentence takes {rig} and its own figures; for several the rigs are named beneath. */
export function alertSentence({ cause, rigIds }: AlertGroup, { run }: RunNow): string {
  const several = `alert.${cause}.several`;
  const count = rigIds.length;
  if (count > 1 && isWordKey(several)) return t(several, { count });
  const status = run.rigs.find((one) => one.rig.id === rigIds[0]);
  const rig = status?.rig.name ?? "";
  const figures = alertFigures(cause, status, run);
  const figured = `alert.${cause}.figured`;
  if (Object.keys(figures).length > 0 && isWordKey(figured)) return t(figured, { rig, ...figures });
  return alertText(cause, rig);
}
