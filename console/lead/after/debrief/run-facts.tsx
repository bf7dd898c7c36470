/** What else a run's log holds: calls against the prediction, alerts, who was needed and went, frames, faults, clock and doubt. */
import type { ReactNode } from "react";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { Review } from "../../../../shared/review/review.ts";
import { boundText, clockText } from "../../../parts/time-format.ts";
import { offText, reviewedWords, spanText } from "../../../parts/words-for-reviewed.ts";
import { t } from "../../../words/words.ts";
import { alertText } from "../../shell/alerts/alert-text.ts";
import { faultName, struckText } from "../../shell/fault-words.ts";
import { listText } from "./debrief-sentences.ts";
import { personName, type RigRow } from "./rig-rows.ts";

const SHOWN_ALERTS = 5;
const SHOWN_NEEDED = 12;
/** Alerts by which clock or place was in doubt (S5). */
const DOUBTS = ["clock-bound", "clock-disputed", "clock-stepped", "laptop-slept", "site-unconfirmed"];

interface FactsProps {
  review: Review;
  rows: readonly RigRow[];
  /** As planned now, for the words of their cues. */
  rigs: readonly Rig[];
}

export function RunFacts({ review, rows, rigs }: FactsProps) {
  const { calls, alerts, frames, faults } = review;
  const needed = rows.filter(({ raised }) => raised > 0).sort((a, b) => b.stoodS - a.stoodS);
  const name = (rigId: string | null) => review.rigs.find(({ id }) => id === rigId)?.name ?? rigId ?? "";
  return (
    <div className="run-facts">
      <Facts title={t("debrief.calls")} items={calls.map(callText)} />
      <Facts
        title={t("debrief.alerts")}
        note={t("debrief.alertsKnown")}
        items={alerts.longest
          .slice(0, SHOWN_ALERTS)
          .map(({ cause, rigId, stoodS }) =>
            t("debrief.alertStood", { what: alertText(cause, name(rigId)), time: spanText(stoodS) }),
          )}
      />
      <Facts title={t("debrief.needed")} items={needed.slice(0, SHOWN_NEEDED).map(neededText)} />
      <Facts
        title={t("debrief.frames")}
        items={frames.map((one) => framesText(one, name(one.rigId), rigs))}
      />
      <Facts
        title={t("debrief.faults")}
        items={faults.map(({ kind, rigIds, atRunMs }) =>
          t("debrief.fault", {
            what: faultName(kind),
            who: struckText(rigIds, review.rigs),
            at: clockText(atRunMs),
          }),
        )}
      />
      <Facts title={t("debrief.clock")} items={doubtTexts(review, name)} />
    </div>
  );
}

/** A list under its heading; nothing where there is nothing. */
function Facts({ title, items, note }: { title: string; items: readonly ReactNode[]; note?: string }) {
  if (items.length === 0) return null;
  return (
    <section>
      <h2>{title}</h2>
      <ul className="debrief__calls">
        {items.map((item, at) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: the list never changes its order.
          <li key={at}>{item}</li>
        ))}
      </ul>
      {note && <p className="soft">{note}</p>}
    </section>
  );
}

function callText({ call, by, atRunMs, predictedRunMs, takenBack }: Review["calls"][number]): string {
  const words = {
    call: t(
      `lead.call.${call === "totality" ? "totality" : call === "sun returns" ? "sunReturns" : "stayFiltered"}`,
    ),
    who: personName(by),
    at: clockText(atRunMs),
    by: predictedRunMs === null ? "" : `\u2066${offText(atRunMs - predictedRunMs)}\u2069`,
  };
  const said = predictedRunMs === null ? t("debrief.call", words) : t("debrief.callOff", words);
  return takenBack ? `${said} ${t("debrief.callTakenBack")}` : said;
}

function neededText({ name, operator, raised, stoodS, went }: RigRow): string {
  const rig = [name, operator].filter(Boolean).join(" · ");
  const said = t("debrief.neededAt", { rig, count: raised, time: spanText(stoodS) });
  return went.length === 0 ? said : `${said} ${t("debrief.went", { who: listText(went) })}`;
}

function framesText(
  { rigId, count, without }: Review["frames"][number],
  rig: string,
  rigs: readonly Rig[],
): string {
  const said = t("debrief.framesOf", { rig, count });
  if (without.length === 0) return said;
  const planned = rigs.find(({ id }) => id === rigId);
  const cues = without.map((one) => `${reviewedWords(planned, one)} ${clockText(one.dueRunMs)}`);
  return `${said} ${t("debrief.framesWithout", { cues: cues.join(", ") })}`;
}

function doubtTexts(review: Review, name: (rigId: string) => string): string[] {
  const { timingBoundS, worstPhone, clockNotes, alerts } = review;
  const at = clockNotes.map(({ atRunMs }) => clockText(atRunMs));
  return [
    ...(timingBoundS === null ? [] : [t("debrief.clockBound", { s: timingBoundS.toFixed(1) })]),
    ...(worstPhone === null
      ? []
      : [t("debrief.phones", { bound: boundText(worstPhone.boundMs), rig: name(worstPhone.rigId) })]),
    ...alerts.each
      .filter(({ cause }) => DOUBTS.includes(cause))
      .map(({ cause, atRunMs, stoodS }) =>
        t("debrief.doubts", {
          what: alertText(cause, ""),
          at: clockText(atRunMs),
          time: spanText(stoodS),
        }),
      ),
    at.length === 0 ? t("debrief.clockQuiet") : t("debrief.clockNoted", { at: listText(at) }),
  ];
}
