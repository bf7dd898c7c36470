/** Sheets for paper: one a rig, one a person, or the whole plan for the wall. */
import { peopleOfRigs } from "../../../../shared/plan/hands/people.ts";
import "../../../words/bundles/planner.ts";
import "../../../words/bundles/prepare.ts";
import { plannedContacts } from "../../../../shared/run/effective-contacts.ts";
import { t } from "../../../words/words.ts";
import { useLead } from "../../shell/lead-context.ts";
import { SheetControls } from "../../shell/sheet-controls.tsx";
import { usePlanCheck } from "../check/use-plan-check.ts";
import { PersonSheet } from "./person-sheet.tsx";
import { RigSheet } from "./rig-sheet.tsx";
import { WallSheet } from "./wall-sheet.tsx";
import "../../shell/sheets.css";
import "../hands/hands-part.css";
import "./paper.css";

const KINDS = ["rigs", "people", "wall"] as const;
type Kind = (typeof KINDS)[number];

/** `item`: which sheets, as in the address; those of the rigs where it names none. */
export function PaperScreen({ item, close }: { item: string | null; close: () => void }) {
  const { state } = useLead().view;
  const kind: Kind = KINDS.find((one) => one === item) ?? "rigs";
  const check = usePlanCheck(kind === "people" ? (state?.plan ?? null) : null);
  if (!state) return null;
  // Paper cannot follow shifts and calls.
  const contacts = plannedContacts(state);
  const hands = check.assessment?.hands ?? [];
  return (
    <main
      className="sheet"
      data-screen="cue-sheets"
      data-sheets={kind}
      data-waiting={kind === "people" && check.waiting}
    >
      <SheetControls close={close} />
      <nav className="paper__kinds no-print" aria-label={t("paper.kinds")}>
        {KINDS.map((one) => (
          <a
            key={one}
            className="button"
            href={`#cue-sheets/${one}`}
            data-action={`paper-${one}`}
            {...(one === kind ? { "aria-current": "page" as const } : {})}
          >
            {t(`paper.${one}`)}
          </a>
        ))}
      </nav>
      {kind === "wall" && <WallSheet state={state} contacts={contacts} />}
      {kind === "rigs" &&
        state.plan.rigs.map((rig) => <RigSheet key={rig.id} rig={rig} state={state} contacts={contacts} />)}
      {kind === "people" &&
        peopleOfRigs(state.plan).map((person) => (
          <PersonSheet
            key={person.key}
            person={person}
            hands={hands.find(({ rigIds }) => person.rigs.some(({ id }) => rigIds.includes(id))) ?? null}
            state={state}
            contacts={contacts}
          />
        ))}
    </main>
  );
}
