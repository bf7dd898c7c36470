/**
 * The marshal's page: what the public is told now, what the lead tells marshals, and four matters of the
 * crowd that are reported in one tap, with a word on the place. What became of a report stands under it.
 */
import { useState } from "react";
import { MARSHAL_MATTERS, type MarshalReport, MOST_PLACE } from "../../shared/protocol/marshals.ts";
import { Cautions } from "../board/cautions.tsx";
import { NextStepLine } from "../board/next-step-line.tsx";
import { runTimeOf } from "../board/run-clock.ts";
import { SafetyBlock } from "../board/safety-block.tsx";
import { useBoardTold } from "../board/use-board-view.ts";
import { namedTimeText } from "../board/when-text.ts";
import type { PageBoard } from "../link/page-board.ts";
import { CoverScreen } from "../parts/cover-screen.tsx";
import { chooseLanguage } from "../parts/language.ts";
import { LanguageSelect } from "../parts/language-select.tsx";
import { PracticeBanner } from "../parts/practice-banner.tsx";
import { clockText } from "../parts/time-format.ts";
import { useWords } from "../words/words.ts";
import { type Marshals, useMarshals } from "./use-marshals.ts";
import "../board/board.css";
import "./marshal.css";

/** Reports of all marshals, the newest. */
const MOST_SHOWN = 12;

interface MarshalPageProps {
  session: PageBoard;
  token: string;
}

export function MarshalPage({ session, token }: MarshalPageProps) {
  const { t } = useWords();
  const marshals = useMarshals(token, session.now);
  const [place, setPlace] = useState("");
  const { now, state } = marshals;
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
      <Reports marshals={marshals} />
      <Cautions />
      <LanguageSelect choose={chooseLanguage} />
    </main>
  );
}

function PublicNow({ session }: { session: PageBoard }) {
  const { t } = useWords();
  const { seen, told } = useBoardTold(session);
  const { board, cover } = seen;
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
        <NextStepLine
          next={next}
          view={told}
          readRunNow={() => runTimeOf(board.practice, session.now())}
          zone={board.zone}
        />
      ) : null}
      <SafetyBlock line={told.safety} />
    </section>
  );
}

function Reports({ marshals }: { marshals: Marshals }) {
  const { t } = useWords();
  const { waiting, now, mine, putAway } = marshals;
  const reports = now?.reports ?? [];
  const own = ({ id }: MarshalReport) => mine.includes(id);
  // One's own that nobody has settled never fall out of sight behind those of others.
  const shown = reports.filter((one, n) => n < MOST_SHOWN || (own(one) && one.answer !== "done"));
  const stateOf = ({ answer }: MarshalReport) =>
    answer === null ? "arrived" : answer === "done" ? "done" : "onIt";
  return (
    <ul className="marshal-list" aria-live="polite">
      {waiting.map(({ id, matter, place, atUtcMs, refused }) => (
        <li key={id} data-report={id} data-report-state={refused === undefined ? "waiting" : "refused"}>
          {[t(`marshal.matter.${matter}`), place].filter(Boolean).join(" · ")}{" "}
          <b>
            {refused === undefined
              ? t("marshal.state.waiting")
              : t("marshal.state.refused", { why: refused })}
          </b>{" "}
          {atUtcMs === undefined ? null : <small>{clockText(atUtcMs)} UTC</small>}
          {refused === undefined ? null : (
            <button type="button" data-action="put-away" onClick={() => putAway(id)}>
              {t("marshal.putAway")}
            </button>
          )}
        </li>
      ))}
      {shown.map((report) => (
        <li
          key={report.id}
          data-report={report.id}
          data-report-state={stateOf(report)}
          data-mine={own(report)}
        >
          {own(report) ? <strong>{t("marshal.mine")} </strong> : null}
          {[t(`marshal.matter.${report.matter}`), report.place].filter(Boolean).join(" · ")}{" "}
          <b>{t(`marshal.state.${stateOf(report)}`)}</b> <small>{clockText(report.atUtcMs)} UTC</small>
          {report.practice ? <small> · {t("marshal.inPractice")}</small> : null}
        </li>
      ))}
    </ul>
  );
}
