/**
 * What one person does at all rigs in their hands, in the order of their hands: drawn around C2 and
 * C3, and line by line with the settings.
 */
import type { AssessedHands } from "../../../../shared/plan/assess/assess-plan.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { t } from "../../../words/words.ts";
import { HandsStrip } from "../hands/hands-strip.tsx";
import { stripAround } from "../hands/strip-layout.ts";
import { cautionsFor } from "./cautions.ts";
import { CueTable } from "./cue-table.tsx";
import { paperLines } from "./paper-lines.ts";
import { personRows } from "./paper-rows.ts";

/** What a drawing takes on paper in the smallest type: its frame, and each line. The two stand beside each other. */
const STRIP_PT = 34;
const BLOCK_PT = 11;

interface PersonSheetProps {
  person: { key: string; name: string; rigs: Rig[] };
  /** Null while the order is being worked out, or cannot be. */
  hands: AssessedHands | null;
  state: SiteState;
  contacts: EffectiveContacts;
}

export function PersonSheet({ person, hands, state, contacts }: PersonSheetProps) {
  const { name, rigs } = person;
  const names = rigs.map((rig) => rig.name).join(", ");
  const strips = (["C2", "C3"] as const).flatMap((anchor) => {
    const strip = hands && stripAround(hands, anchor);
    return strip ? [{ anchor, strip }] : [];
  });
  const stripsPt = Math.max(0, ...strips.map(({ strip }) => STRIP_PT + BLOCK_PT * strip.blocks.length));
  const cautions = [...new Set(rigs.flatMap((rig) => cautionsFor(rig, state)))];
  return (
    <article className="sheet__page cue-sheet" data-sheet-person={person.key}>
      <header className="sheet__head">
        <h1>{name === "" ? names : name}</h1>
        <p>{names}</p>
      </header>
      <ul className="cue-sheet__cautions">
        {cautions.map((key) => (
          <li key={key}>{t(key)}</li>
        ))}
      </ul>
      {hands && !hands.feasible && <p className="cue-sheet__cannot">{t("paper.cannot")}</p>}
      <CueTable
        lines={paperLines(personRows(rigs, hands, state, contacts), contacts)}
        state={state}
        rigs
        besidePt={stripsPt}
      />
      <div className="cue-sheet__strips">
        {strips.map(({ anchor, strip }) => (
          <HandsStrip key={anchor} strip={strip} anchor={anchor} plan={state.plan} />
        ))}
      </div>
      <p className="cue-sheet__foot">{t("rules.caution")}</p>
    </article>
  );
}
