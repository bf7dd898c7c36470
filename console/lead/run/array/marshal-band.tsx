/** What marshals report of the crowd, apart from the rigs: open matters, each with its answer. */
import "../../../words/bundles/marshal.ts";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { useMarshalDesk } from "../../shell/use-marshal-desk.ts";
import "./marshal-band.css";

export function MarshalBand() {
  const { now, answer, problem } = useMarshalDesk();
  const open = (now?.reports ?? []).filter((one) => one.answer !== "done");
  if (open.length === 0) return null;
  return (
    <section className="marshal-band" aria-live="polite">
      <h2>{t("lead.marshals.title")}</h2>
      <ul>
        {open.map((report) => (
          <li key={report.id} data-marshal-report={report.id} data-matter={report.matter}>
            <span>
              <b>{t(`marshal.matter.${report.matter}`)}</b>
              {report.place ? <bdi> · {report.place}</bdi> : null}{" "}
              <small>
                {clockText(report.atUtcMs)} UTC
                {report.practice ? ` · ${t("marshal.inPractice")}` : ""}
              </small>
            </span>
            {report.answer === null ? (
              <button
                type="button"
                data-action="marshal-on-it"
                onClick={() => void answer(report.id, "on it")}
              >
                {t("lead.marshals.onIt")}
              </button>
            ) : (
              <span className="marshal-band__on-it">{t("marshal.state.onIt")}</span>
            )}
            <button type="button" data-action="marshal-done" onClick={() => void answer(report.id, "done")}>
              {t("lead.marshals.done")}
            </button>
          </li>
        ))}
      </ul>
      <ProblemLine problem={problem} />
    </section>
  );
}
