/** A rig's cues on one page, large, with the cautions; for when every screen is dark. */
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { cueTimeline } from "../../../../shared/run/cues/cue-timeline.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import { TimeLine } from "../../../parts/time-line.tsx";
import { t } from "../../../words/words.ts";
import { cautionsFor } from "./cautions.ts";
import { CueTable } from "./cue-table.tsx";
import { rigRows } from "./paper-rows.ts";

export function RigSheet(props: { rig: Rig; state: SiteState; contacts: EffectiveContacts }) {
  const { rig, state, contacts } = props;
  const cues = cueTimeline(rig, contacts);
  return (
    <article className="sheet__page cue-sheet" data-sheet-rig={rig.id}>
      <header className="sheet__head">
        <h1>{rig.name}</h1>
        <p>{[t(`rigKind.${rig.kind}`), rig.operator].filter(Boolean).join(" · ")}</p>
        {rig.filter === "none by design" && <FilterMark state="none by design" />}
      </header>
      <ul className="cue-sheet__cautions">
        {cautionsFor(rig, state).map((key) => (
          <li key={key}>{t(key)}</li>
        ))}
      </ul>
      <TimeLine
        contacts={contacts}
        runNow={null}
        cues={cues.map((one) => ({ ...one, handsS: one.cue.handsS }))}
      />
      <CueTable
        lines={rigRows(rig, state, contacts).map((row) => ({ row, also: [] }))}
        state={state}
        rigs={false}
      />
      <p className="cue-sheet__foot">{t("rules.caution")}</p>
    </article>
  );
}
