/** Cue sheets on paper: one page per rig, large, with the cautions; for when every screen is dark. */

import { localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { isFilterAction } from "../../../../shared/plan/model/vocabulary.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import { type CueInstance, cueTimeline } from "../../../../shared/run/cues/cue-timeline.ts";
import { type OwnWords, ownWordsOf } from "../../../../shared/run/cues/manner.ts";
import { timesByTheClock } from "../../../../shared/run/cues/rig-times.ts";
import { contactsOf, type EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import { newRun, type SiteState } from "../../../../shared/run/state.ts";
import { latest, type RunMs } from "../../../../shared/time/instants.ts";
import { cameraText } from "../../../parts/camera-text.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import { clockText, localClockText, zoneText } from "../../../parts/time-format.ts";
import { TimeLine } from "../../../parts/time-line.tsx";
import { anchorWords, offsetWords } from "../../../parts/words-for-anchor.ts";
import { cueNote, putWords } from "../../../parts/words-for-cue.ts";
import { t } from "../../../words/words.ts";
import { dateText } from "../../shell/date-text.ts";
import { useLead } from "../../shell/lead-context.ts";
import { kindWords } from "../../shell/run-header.tsx";
import { SheetControls } from "../../shell/sheet-controls.tsx";
import { cautionsFor } from "./cautions.ts";
import "../../shell/sheets.css";

export function CueSheets(props: { close: () => void }) {
  const { view } = useLead();
  const { state } = view;
  if (!state) return null;
  // The prediction, without shifts or calls: paper cannot follow those.
  const contacts = contactsOf(state, newRun("paper", "real"));
  return (
    <main className="sheet" data-screen="cue-sheets">
      <SheetControls close={props.close} />
      {state.plan.rigs.map((rig) => (
        <CueSheet key={rig.id} rig={rig} state={state} contacts={contacts} />
      ))}
    </main>
  );
}

function CueSheet(props: { rig: Rig; state: SiteState; contacts: EffectiveContacts }) {
  const { rig, state, contacts } = props;
  const { plan } = state;
  const zone = plan.site?.zone ?? "";
  const cues = cueTimeline(rig, contacts);
  const asPlanned = {
    allowance: filterAllowance(rig, localEclipse(state.circumstances)),
    times: timesByTheClock(contacts),
    // Before everything.
    runNow: latest<RunMs>(),
  };
  const zoneName = cues[0] ? zoneText(cues[0].dueMs, zone) : null;
  return (
    <article className="sheet__page cue-sheet" data-sheet-rig={rig.id}>
      <header className="sheet__head">
        <h1>{rig.name}</h1>
        <p>{[t(`rigKind.${rig.kind}`), rig.operator].filter(Boolean).join(" · ")}</p>
        <p>
          <bdi>{plan.site?.name}</bdi> · <bdi>{plan.eclipse ? dateText(plan.eclipse) : ""}</bdi> ·{" "}
          {kindWords(state)} · {t("lead.header.revision", { revision: plan.revision })}
        </p>
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
      <table className="cue-sheet__cues">
        <thead>
          <tr>
            <th scope="col">{t("time.utc")}</th>
            <th scope="col">{zoneName ?? t("time.local")}</th>
            <th scope="col">{t("lead.sheet.when")}</th>
            <th scope="col">{t("lead.sheet.do")}</th>
            <th scope="col">{t("lead.sheet.done")}</th>
          </tr>
        </thead>
        <tbody>
          {firstOfSeries(cues).map((one) => (
            <CueLine key={one.id} one={one} zone={zone} ownWords={ownWordsOf(one, rig, asPlanned)} />
          ))}
        </tbody>
      </table>
      <p className="cue-sheet__foot">{t("rules.caution")}</p>
    </article>
  );
}

function CueLine(props: { one: CueInstance; zone: string; ownWords: OwnWords }) {
  const { one, zone, ownWords } = props;
  const { cue } = one;
  const put = { cue, ownWords, mode: "plain", exposed: false, lookedThrough: false } as const;
  const filter = isFilterAction(cue.action);
  return (
    <tr data-filter-cue={filter}>
      <td className="figures">{clockText(one.dueMs)}</td>
      <td className="figures">{localClockText(one.dueMs, zone) ?? "—"}</td>
      <td className="figures">{offsetWords(cue.anchor, cue.offsetS)}</td>
      <td className="cue-sheet__words">
        {putWords(put)}
        {cueNote(put) && <small> {t("cue.note", { text: cueNote(put) })}</small>}
        {cue.camera && (
          <small className="figures" dir="ltr">
            {" "}
            {cameraText(cue.camera)}
          </small>
        )}
        {cue.repeat && (
          <small>
            {" "}
            {t("lead.cues.repeat", {
              seconds: cue.repeat.everyS,
              until: anchorWords(cue.repeat.until.anchor),
            })}
          </small>
        )}
      </td>
      <td className="cue-sheet__box" aria-hidden="true">
        ☐
      </td>
    </tr>
  );
}

/** A cue that comes again and again stands once, with its repeat in words. */
function firstOfSeries(cues: readonly CueInstance[]): CueInstance[] {
  return cues.filter((one) => one.n === 1);
}
