/** Practice: a programme before its start, while it runs, and in its pauses. Its end leads to the debrief. */
import { useEffect, useRef, useState } from "react";
import { ANCHORS } from "../../../shared/plan/model/vocabulary.ts";
import { anchorMs, plannedContacts } from "../../../shared/run/effective-contacts.ts";
import type { PracticeStarted } from "../../../shared/run/events.ts";
import { practiceAt } from "../../../shared/run/run-time.ts";
import { useNow } from "../../link/use-session.ts";
import { EmptyNote } from "../../parts/empty-note.tsx";
import "../../words/bundles/practice.ts";
import { t } from "../../words/words.ts";
import { useLead } from "../shell/lead-context.ts";
import { go } from "../shell/route.ts";
import { ProgrammeForm } from "./programme-form.tsx";
import {
  type PracticeStatus,
  ProgrammePause,
  ProgrammeRunning,
  usePracticeStatus,
} from "./programme-running.tsx";
import "./practice-screen.css";

export function PracticeScreen() {
  const { session, view } = useLead();
  const now = useNow(session, 500);
  const { status, ask } = usePracticeStatus();
  const { state } = view;
  const contacts = state?.runs[state.realRunId] ? plannedContacts(state) : null;
  const ended = useEnded(state?.practice ?? null, status);
  if (!state || !contacts) return <EmptyNote text={t("app.loading")} />;
  if (practiceAt(state, now)) return <ProgrammeRunning state={state} now={now} status={status} ask={ask} />;
  if (status && status.nextAtUtcMs !== null) return <ProgrammePause status={status} now={now} ask={ask} />;
  if (ended) return <EmptyNote text={t("app.loading")} />;
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

/** The first answer after an end may have been asked for before it. */
const ANSWERS = 2;

/**
 * Goes to the debrief of a run that was seen here, when it is over and no further part waits for its pause to
 * end. True from its end until that is known.
 */
function useEnded(practice: PracticeStarted | null, status: PracticeStatus | null): boolean {
  const [seen, setSeen] = useState<PracticeStarted | null>(null);
  const answers = useRef(0);
  useEffect(() => {
    if (practice) setSeen(practice);
  }, [practice]);
  useEffect(() => {
    if (practice || !seen) return;
    answers.current =
      status && status.runId === null && status.nextAtUtcMs === null ? answers.current + 1 : 0;
    const { part = 1, repeats = 1 } = seen.programme ?? {};
    if (part >= repeats || answers.current >= ANSWERS) go("record", seen.runId);
  }, [practice, seen, status]);
  return seen !== null && practice === null;
}
