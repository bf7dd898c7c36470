/** What was said of one rig in this run, newest first: its filter, its cues, readiness, messages. */
import { ownValue } from "../../../../shared/fields/own-key.ts";
import { recordOf } from "../../../../shared/run/facts/rig-record.ts";
import { runTime } from "../../../../shared/run/run-time.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { clockText } from "../../../parts/time-format.ts";
import { putWords } from "../../../parts/words-for-cue.ts";
import "../../../words/bundles/facts.ts";
import { t } from "../../../words/words.ts";
import { alertText } from "../../shell/alerts/alert-text.ts";
import { personOf } from "../../shell/person-of.ts";
import type { RunNow } from "../../shell/use-run.ts";

const LISTED = 12;

interface Said {
  atUtcMs: number;
  what: string;
  who: string;
}

export function RigHistory({ status, now }: { status: RigStatus; now: RunNow }) {
  const said = historyOf(status, now);
  if (said.length === 0) return null;
  return (
    <section className="rig-panel__section" data-history={said.length}>
      <h3>{t("lead.panel.history")}</h3>
      <ol className="rig-panel__cues">
        {said.slice(0, LISTED).map(({ atUtcMs, what, who }) => (
          <li key={`${atUtcMs} ${what} ${who}`}>
            <span className="figures">{clockText(runTime(now.practice, atUtcMs as RunNow["now"]))}</span>
            <span>{what}</span>
            <small>
              <bdi>{who}</bdi>
            </small>
          </li>
        ))}
      </ol>
    </section>
  );
}

/** Everything that the state still knows, newest first. */
function historyOf({ rig, cues }: RigStatus, now: RunNow): Said[] {
  const record = recordOf(now.state, now.run.run, rig.id);
  const deviceOf = (deviceId: string) => ownValue(now.state.devices, deviceId)?.label ?? "";
  const whoOf = (by: string, deviceId: string) =>
    by.startsWith("lead:") ? personOf(by) : deviceOf(deviceId);
  const filters = Object.values(record.filter.byDevice).map((word) => ({
    atUtcMs: word.observedUtcMs,
    what: t("lead.history.filter", { state: t(`filter.${word.value}`) }),
    who: whoOf(word.by, word.deviceId),
  }));
  const marks = Object.entries(record.cues).map(([id, mark]) => {
    const cue = cues.find((one) => one.id === id);
    return {
      atUtcMs: mark.observedUtcMs,
      what: t(`lead.history.${mark.value}`, { cue: cue ? putWords(cue) : id }),
      who: whoOf(mark.by, mark.deviceId),
    };
  });
  const ready = record.ready && {
    atUtcMs: record.ready.observedUtcMs,
    what: `${t("fact.ready")}: ${t(`fact.ready.${record.ready.value}`)}`,
    who: whoOf(record.ready.by, record.ready.deviceId),
  };
  const help = record.help?.value && {
    atUtcMs: record.help.observedUtcMs,
    what: t("lead.history.help"),
    who: whoOf(record.help.by, record.help.deviceId),
  };
  const messages = now.state.messages
    .filter(({ rigIds }) => rigIds?.includes(rig.id) ?? true)
    .map((message) => ({
      atUtcMs: message.sentUtcMs,
      what: t(message.seenBy[rig.id] === undefined ? "lead.history.unseen" : "lead.history.seen", {
        text: message.text,
      }),
      who: personOf(message.by),
    }));
  const alerts = Object.values(now.state.alerts)
    .filter(({ rigId }) => rigId === rig.id)
    .map(({ cause, sinceUtcMs, takenBy }) => ({
      atUtcMs: sinceUtcMs,
      what: alertText(cause, rig.name),
      who: takenBy ? personOf(takenBy) : "",
    }));
  return [
    ...filters,
    ...marks,
    ...messages,
    ...alerts,
    ...(ready ? [ready] : []),
    ...(help ? [help] : []),
  ].sort((a, b) => b.atUtcMs - a.atUtcMs);
}
