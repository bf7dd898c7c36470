/**
 * The report screen: what the operator says of the rig beyond cues and filter, and what this
 * phone has said so far: what waits for the hub, and what the hub could not read.
 */
import "../../words/bundles/kinds.ts";
import "../../words/bundles/phone.ts";
import "../../words/bundles/run.ts";
import type { SessionView } from "../../../shared/link/session-types.ts";
import { REPORTED, STATE_FIELDS } from "../../../shared/run/facts/reported-fields.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import type { FilterWord } from "../../../shared/run/vocabulary.ts";
import { FilterMark } from "../../parts/filter-mark.tsx";
import { clockText } from "../../parts/time-format.ts";
import { factText } from "../../parts/words-for-fact.ts";
import { useWords } from "../../words/words.ts";
import { OneOpen } from "../one-open.tsx";
import { exposedNow } from "../run/exposed-now.ts";
import { ownFilter } from "../run/own-filter.ts";
import { setFilter } from "../run/rig-reports.ts";
import type { RigScene } from "../run/rig-scene.ts";
import type { RigActs } from "../run/use-rig-run.ts";
import { NumberReport } from "./number-report.tsx";
import { type OwnLog, useOwnLog } from "./own-log.ts";
import { reportWords } from "./report-words.ts";
import "../setup/setup.css";
import "./report.css";

interface ReportScreenProps {
  scene: RigScene;
  session: SessionView;
  acts: RigActs;
  log: OwnLog;
}

/** What an operator is asked for; what the phone says by itself is not. */
const ASKED = STATE_FIELDS.filter((field) => "asked" in REPORTED[field]);
/** An instrument that is read is heard of every ten minutes. */
const HEARD_MS = 15 * 60_000;
const FILTERS: readonly FilterWord[] = ["on", "off", "capped"];

export function ReportScreen({ scene, session, acts, log }: ReportScreenProps) {
  const { t } = useWords();
  return (
    <div className="rig-report" data-screen="report">
      <h1 className="only-read-aloud">{t("rig.nav.report")}</h1>
      <OneOpen rigs={scene.rigs} first={scene.rigs[0]?.rig.id}>
        {(status) => <RigReport status={status} scene={scene} acts={acts} />}
      </OneOpen>
      <Outbox session={session} nameOf={(id) => nameOf(scene, id)} />
      <Said log={log} nameOf={(id) => nameOf(scene, id)} />
      <section className="rig-part rig-soft">
        <h2>{t("rig.known.title")}</h2>
        <p>
          {t("rig.known.place", {
            site: scene.state.plan.site?.name ?? "–",
            date: scene.state.plan.eclipse ?? "–",
            revision: scene.state.plan.revision,
          })}
        </p>
      </section>
    </div>
  );
}

function nameOf(scene: RigScene, rigId: string): string {
  return scene.state.plan.rigs.find((rig) => rig.id === rigId)?.name ?? rigId;
}

function RigReport({ status, scene, acts }: { status: RigStatus; scene: RigScene; acts: RigActs }) {
  const { t } = useWords();
  const { rig } = status;
  const filtered = rig.filter !== "none by design";
  return (
    <>
      {ASKED.map((field) => {
        const { type } = REPORTED[field];
        if (type.is !== "number") return null;
        const value = status[field] as number | null;
        const own = status.record.instruments[field];
        // A program beside the rig says it: nobody is asked.
        if (own && scene.now - own.observedUtcMs < HEARD_MS)
          return (
            <p key={field} className="rig-number" data-known={field}>
              {t(`fact.${field}`)}: {factText(field, own.value as number)}
            </p>
          );
        return (
          <NumberReport
            key={field}
            field={field}
            type={type}
            value={value}
            onSay={(said) => acts.send(rig.id, { [field]: said })}
          />
        );
      })}
      {filtered ? (
        <fieldset className="rig-choice" data-choice="filter">
          <legend>{t("fact.filter")}</legend>
          <div className="rig-choice-values">
            {FILTERS.map((word) => (
              <button
                key={word}
                type="button"
                className="rig-big"
                data-action="say-filter"
                data-word={word}
                aria-pressed={ownFilter(status) === word}
                onClick={() =>
                  acts.act(
                    setFilter(status, word, scene.picture.lines, true),
                    `${rig.name}: ${t(`rig.filter.is.${word}`)}`,
                  )
                }
              >
                <FilterMark state={word} exposed={exposedNow(scene, status)} />
              </button>
            ))}
          </div>
        </fieldset>
      ) : null}
      {ASKED.map((field) => {
        const { type } = REPORTED[field];
        if (type.is !== "word") return null;
        return (
          <fieldset key={field} className="rig-choice" data-choice={field}>
            <legend>{t(`fact.${field}`)}</legend>
            <div className="rig-choice-values">
              {type.words.map((word) => (
                <button
                  key={word}
                  type="button"
                  data-value={word}
                  aria-pressed={status[field] === word}
                  onClick={() => acts.send(rig.id, { [field]: word })}
                >
                  {factText(field, word)}
                </button>
              ))}
            </div>
          </fieldset>
        );
      })}
      <div className="rig-choice">
        <div className="rig-choice-values">
          {ASKED.map((field) => {
            if (REPORTED[field].type.is !== "flag") return null;
            const value = status[field];
            return (
              <button
                key={field}
                type="button"
                data-flag={field}
                aria-pressed={value === true}
                onClick={() => acts.send(rig.id, { [field]: value !== true })}
              >
                {t(`fact.${field}`)}
                <span className="rig-soft">
                  {" "}
                  {value === null ? t("fact.unsaid") : factText(field, value)}
                </span>
              </button>
            );
          })}
        </div>
      </div>
    </>
  );
}

type NameOf = (rigId: string) => string;

function Outbox({ session, nameOf }: { session: SessionView; nameOf: NameOf }) {
  const { t } = useWords();
  return (
    <section className="rig-part" data-queued={session.queued} data-rejected={session.rejected.length}>
      <h2>{t("rig.outbox.title")}</h2>
      <p>{session.queued === 0 ? t("rig.outbox.empty") : t("rig.outbox.waits", { count: session.queued })}</p>
      {session.rejected.length > 0 ? (
        <>
          <p className="rig-rejected">{t("rig.outbox.rejected", { count: session.rejected.length })}</p>
          <ul className="rig-said">
            {session.rejected.map(({ id, fact, refusal }) => (
              <li key={id}>
                <span className="figures">{clockText(fact.observedUtcMs)}</span>
                <span>
                  {nameOf(fact.rigId)}: {reportWords(fact.report)}{" "}
                  <span className="rig-soft" lang="en" dir="ltr">
                    {refusal.message}
                  </span>
                </span>
              </li>
            ))}
          </ul>
        </>
      ) : null}
    </section>
  );
}

const SHOWN = 40;

function Said({ log, nameOf }: { log: OwnLog; nameOf: NameOf }) {
  const { t } = useWords();
  const entries = useOwnLog(log);
  return (
    <section className="rig-part">
      <h2>{t("rig.said.title")}</h2>
      {entries.length === 0 ? <p className="rig-soft">{t("rig.said.none")}</p> : null}
      <ul className="rig-said">
        {entries.slice(0, SHOWN).map((entry) => (
          <li key={`${entry.atUtcMs}/${entry.rigId}/${JSON.stringify(entry.report)}`}>
            <span className="figures">{clockText(entry.atUtcMs)}</span>
            <span>
              {nameOf(entry.rigId)}: {reportWords(entry.report)}
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}
