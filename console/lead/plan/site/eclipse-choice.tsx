/** The eclipses ahead, each with its kind said plainly. Choosing one changes nothing until saved. */
import { useEffect, useState } from "react";
import type { EclipseKind } from "../../../../shared/eclipse/circumstances-types.ts";
import { isoDate } from "../../../../shared/time/iso.ts";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { dateText } from "../../shell/date-text.ts";
import type { Problem } from "../../shell/hub-api.ts";
import { useLead } from "../../shell/lead-context.ts";
import { problemText } from "../../shell/problem-text.ts";

interface EclipseRow {
  id: string;
  kind: EclipseKind;
  greatestUtc: string;
}

const SHOWN = 5;
const YEARS_AHEAD = 12;

export function EclipseChoice(props: { chosen: string | null; choose: (id: string) => void }) {
  const { api, session } = useLead();
  const [rows, setRows] = useState<EclipseRow[] | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [all, setAll] = useState(false);
  useEffect(() => {
    const gone = new AbortController();
    const now = session.now();
    const query = new URLSearchParams({
      from: isoDate(now),
      to: isoDate(now + YEARS_AHEAD * 365.25 * 86_400_000),
    });
    void api.get<{ eclipses: EclipseRow[] }>(`/api/eclipses?${query}`, gone.signal).then((answer) => {
      if (gone.signal.aborted) return;
      if (answer.ok) setRows(answer.value.eclipses);
      else setProblem(answer.problem);
    });
    return () => gone.abort();
  }, [api, session]);

  if (problem) return <EmptyNote text={problemText(problem)} />;
  if (!rows) return <EmptyNote text={t("app.loading")} />;
  const { chosen } = props;
  const known: EclipseRow[] =
    chosen && !rows.some((row) => row.id === chosen)
      ? [{ id: chosen, kind: "partial", greatestUtc: "" }, ...rows]
      : rows;
  const shown = all ? known : known.filter((row, index) => index < SHOWN || row.id === chosen);
  return (
    <fieldset className="eclipse-choice">
      <legend>{t("lead.site.eclipse")}</legend>
      {shown.map((row) => (
        <label key={row.id} className="eclipse-choice__row" data-eclipse={row.id} data-kind={row.kind}>
          <input
            type="radio"
            name="eclipse"
            value={row.id}
            checked={row.id === chosen}
            onChange={() => props.choose(row.id)}
          />
          <span className="eclipse-choice__date">{dateText(row.id)}</span>
          <span className="eclipse-choice__kind">
            {row.greatestUtc ? t(`lead.eclipse.${row.kind}`) : t("lead.eclipse.past")}
          </span>
        </label>
      ))}
      {!all && shown.length < known.length && (
        <Button action="later-eclipses" kind="quiet" onClick={() => setAll(true)}>
          {t("lead.eclipse.later")}
        </Button>
      )}
    </fieldset>
  );
}
