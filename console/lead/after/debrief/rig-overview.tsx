/** Every rig's run in one row, what needs talking about first: a page of a wall, or the foot of a sheet. */
import { afterC3Text, spanText } from "../../../parts/words-for-reviewed.ts";
import { t } from "../../../words/words.ts";
import type { RigRow } from "./rig-rows.ts";

const NONE = "–";

export function RigOverview({ rows }: { rows: readonly RigRow[] }) {
  const heads = {
    onTime: t("debrief.countOnTime"),
    early: t("debrief.countEarly"),
    late: t("debrief.countLate"),
    missed: t("debrief.countMissed"),
    off: t("debrief.filterOff"),
    again: t("debrief.onAgain"),
    lit: t("debrief.inSunlight"),
    alerts: t("debrief.alertsOf"),
  };
  return (
    <section className="rig-overview">
      <h2>{t("debrief.rigs")}</h2>
      <table data-rigs={rows.length}>
        <thead>
          <tr>
            <th scope="col">{t("debrief.rig")}</th>
            {Object.entries(heads).map(([key, text]) => (
              <th key={key} scope="col">
                {text}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => {
            const { counts } = row;
            const again = row.stillOff
              ? t("debrief.neverOn")
              : row.closedAfterC3S === null
                ? null
                : afterC3Text(row.closedAfterC3S);
            const sunlit = Math.round(row.sunlitS) > 0;
            return (
              <tr key={row.id} data-rig={row.id}>
                <th scope="row">
                  <bdi>{[row.name, row.operator].filter(Boolean).join(" · ")}</bdi>
                  {row.played && <span className="soft"> ({t("debrief.playedBy")})</span>}
                </th>
                <Cell label={heads.onTime} value={counts["on time"]} />
                <Cell label={heads.early} value={counts.early} />
                <Cell label={heads.late} value={counts.late} bad={counts.late > 0} />
                <Cell label={heads.missed} value={counts.missed} bad={counts.missed > 0} />
                <Cell label={heads.off} value={row.openS > 0 ? spanText(row.openS) : null} />
                <Cell label={heads.again} value={again} bad={row.stillOff} />
                <Cell label={heads.lit} value={sunlit ? spanText(row.sunlitS) : null} bad={sunlit} />
                <Cell
                  label={heads.alerts}
                  value={row.raised > 0 ? `${row.raised} (${spanText(row.stoodS)})` : null}
                />
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

/** Nought says nothing and is written so; `bad` is heavy and red, and its column says what it is. */
function Cell({
  label,
  value,
  bad = false,
}: {
  label: string;
  value: string | number | null;
  bad?: boolean;
}) {
  const none = value === null || value === 0;
  return (
    <td data-label={label} data-bad={bad || undefined} data-none={none || undefined}>
      {none ? NONE : value}
    </td>
  );
}
