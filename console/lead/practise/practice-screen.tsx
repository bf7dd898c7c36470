/** Practice: a programme before its start, while it runs, and in its pauses. */
import { ANCHORS } from "../../../shared/plan/model/vocabulary.ts";
import { anchorMs, plannedContacts } from "../../../shared/run/effective-contacts.ts";
import { practiceAt } from "../../../shared/run/run-time.ts";
import { useNow } from "../../link/use-session.ts";
import { EmptyNote } from "../../parts/empty-note.tsx";
import "../../words/bundles/practice.ts";
import { t } from "../../words/words.ts";
import { useLead } from "../shell/lead-context.ts";
import { ProgrammeForm } from "./programme-form.tsx";
import { ProgrammePause, ProgrammeRunning, usePracticeStatus } from "./programme-running.tsx";
import "./practice-screen.css";

export function PracticeScreen() {
  const { session, view } = useLead();
  const now = useNow(session, 500);
  const { status, ask } = usePracticeStatus();
  const { state } = view;
  const contacts = state?.runs[state.realRunId] ? plannedContacts(state) : null;
  if (!state || !contacts) return <EmptyNote text={t("app.loading")} />;
  if (practiceAt(state, now)) return <ProgrammeRunning state={state} now={now} status={status} ask={ask} />;
  if (status && status.nextAtUtcMs !== null) return <ProgrammePause status={status} now={now} ask={ask} />;
  const anchors = ANCHORS.filter((anchor) => anchorMs(contacts, anchor) !== null);
  if (anchors.length === 0) return <EmptyNote text={t("lead.practice.nothing")} />;
  return (
    <div className="practice-screen">
      <h1>{t("lead.practice.title")}</h1>
      <p>{t("lead.practice.says")}</p>
      <p className="practice-screen__caution">{t("rule.S8")}</p>
      <p>
        <a href="#record/practices" data-action="compare-runs">
          {t("practise.results")}
        </a>
      </p>
      <ProgrammeForm state={state} contacts={contacts} anchors={anchors} now={now} />
    </div>
  );
}
