/**
 * The marshal's page: what the public is told now, what the lead tells marshals, and four matters of the
 * crowd that are reported in one tap, with a word on the place. What became of a report stands under it.
 */
import { useRef, useState } from "react";
import { MARSHAL_MATTERS, type MarshalReport, MOST_PLACE } from "../../shared/protocol/marshals.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import { nextKey } from "../board/board-view.ts";
import { runTimeOf } from "../board/run-clock.ts";
import { SafetyBlock } from "../board/safety-block.tsx";
import { useBoardView } from "../board/use-board-view.ts";
import { namedTimeText } from "../board/when-text.ts";
import type { PageBoard } from "../link/page-board.ts";
import { useNow, useSessionView } from "../link/use-session.ts";
import { Countdown } from "../parts/countdown.tsx";
import { CoverScreen } from "../parts/cover-screen.tsx";
import { chooseLanguage } from "../parts/language.ts";
import { LanguageSelect } from "../parts/language-select.tsx";
import { PracticeBanner } from "../parts/practice-banner.tsx";
import { clockText } from "../parts/time-format.ts";
import { useWords } from "../words/words.ts";
import { useMarshals, type Waiting } from "./use-marshals.ts";
import "../board/board.css";
import "./marshal.css";

interface MarshalPageProps {
  session: PageBoard;
  token: string;
}

export function MarshalPage({ session, token }: MarshalPageProps) {
  const { t } = useWords();
  const marshals = useMarshals(token);
  const [place, setPlace] = useState("");
  const { now, waiting, state } = marshals;
  return (
    <main className="marshal" data-page="marshal" data-link={state === "linked" ? "linked" : "alone"}>
      <PublicNow session={session} />
      {state === "refused" ? <p className="marshal-wrong">{t("marshal.refused")}</p> : null}
      {state === "away" ? <p className="marshal-wrong">{t("marshal.away")}</p> : null}
      {now?.words[0] ? (
        <section className="marshal-words" aria-live="polite" data-marshal-words={now.words[0].id}>
          <h2>{t("marshal.fromLead")}</h2>
          {now.words.slice(0, 3).map(({ id, text, atUtcMs }) => (
            <p key={id}>
              <bdi>{text}</bdi> <small>{clockText(atUtcMs)} UTC</small>
            </p>
          ))}
        </section>
      ) : null}
      <section className="marshal-report">
        <label>
          {t("marshal.place")}
          <input
            value={place}
            maxLength={MOST_PLACE}
            placeholder={t("marshal.place.example")}
            onChange={(event) => setPlace(event.target.value)}
          />
        </label>
        <div className="marshal-matters">
          {MARSHAL_MATTERS.map((matter) => (
            <button
              key={matter}
              type="button"
              data-matter={matter}
              onClick={() => marshals.report(matter, place.trim())}
            >
              {t(`marshal.matter.${matter}`)}
            </button>
          ))}
        </div>
      </section>
      <Reports waiting={waiting} reports={now?.reports ?? []} />
      <LanguageSelect choose={chooseLanguage} />
    </main>
  );
}

function PublicNow({ session }: { session: PageBoard }) {
  const { t } = useWords();
  const { board, heard, cover } = useSessionView(session);
  const glassesOnAt = useRef<UtcMs | null>(null);
  const now = useNow(session, undefined, glassesOnAt);
  const { boundMs, utcBoundMs } = session.reading();
  const known = { boundMs: Math.max(boundMs, utcBoundMs), linked: heard, cover };
  const told = useBoardView(board, now, known, glassesOnAt);
  if (!board || !told) return <p className="board-waiting-glasses">{t("board.safety.always")}</p>;
  const { next, practice } = told;
  return (
    <section className="marshal-public" data-phase={told.phase} data-glasses={told.glasses}>
      {practice ? (
        <PracticeBanner
          sentence={t("board.practice.says")}
          rate={practice.rate}
          endsText={namedTimeText(practice.endsAtUtcMs, board.zone)}
        />
      ) : null}
      {cover ? <CoverScreen /> : null}
      <h1>{t(`board.now.${told.phase}`)}</h1>
      {next ? (
        <Countdown
          to={next.atRunMs}
          read={() => runTimeOf(board.practice, session.now())}
          label={t(nextKey(next.step, told))}
        />
      ) : null}
      <SafetyBlock line={told.safety} />
    </section>
  );
}

function Reports({ waiting, reports }: { waiting: readonly Waiting[]; reports: readonly MarshalReport[] }) {
  const { t } = useWords();
  const stateOf = ({ answer }: MarshalReport) =>
    answer === null ? "arrived" : answer === "done" ? "done" : "onIt";
  return (
    <ul className="marshal-list" aria-live="polite">
      {waiting.map(({ id, matter, place }) => (
        <li key={id} data-report={id} data-report-state="waiting">
          {[t(`marshal.matter.${matter}`), place].filter(Boolean).join(" · ")}{" "}
          <b>{t("marshal.state.waiting")}</b>
        </li>
      ))}
      {reports.slice(0, 12).map((report) => (
        <li key={report.id} data-report={report.id} data-report-state={stateOf(report)}>
          {[t(`marshal.matter.${report.matter}`), report.place].filter(Boolean).join(" · ")}{" "}
          <b>{t(`marshal.state.${stateOf(report)}`)}</b> <small>{clockText(report.atUtcMs)} UTC</small>
        </li>
      ))}
    </ul>
  );
}
