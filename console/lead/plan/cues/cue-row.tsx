/** A cue of the list: its sentence, opened by a tap; what differs, what is found at it, and the mends. */
import type { KeyboardEvent } from "react";
import type { AssessedFinding } from "../../../../shared/plan/assess/assess-plan.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { clockText } from "../../../parts/time-format.ts";
import { offsetWords } from "../../../parts/words-for-anchor.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { RigFindings } from "../check/rig-findings.tsx";
import type { PlacedCue } from "./cue-chapters.ts";
import { CueEditor, type CueEditorProps } from "./cue-editor.tsx";
import type { CueMend } from "./cue-mends.ts";
import { cueSentence, windowWords } from "./cue-sentence.ts";

export interface FoundAtCue {
  finding: AssessedFinding;
  mends: readonly CueMend[];
}

interface CueRowProps extends PlacedCue {
  /** The list in which it stands. */
  list: readonly Cue[];
  underSky: boolean;
  /** The field that the hub found wrong; "" for none. */
  wrong: string;
  /** What differs here from the list that this one is compared with, each in a sentence. */
  notes: readonly string[];
  found: readonly FoundAtCue[];
  toggle: () => void;
  mend: (mend: CueMend) => void;
  /** Null where it is closed. */
  editor: Omit<CueEditorProps, "cue"> | null;
}

export function CueRow(props: CueRowProps) {
  const { cue, dueMs, notes, found, editor } = props;
  const { when, words, about } = cueSentence(cue, props.list);
  return (
    <li
      className="cue"
      data-cue={cue.id}
      data-on={cue.on}
      data-open={editor !== null}
      data-differs={notes.length > 0}
      data-wrong={props.wrong}
    >
      <button
        type="button"
        className="cue__sentence"
        data-action="open-cue"
        aria-expanded={editor !== null}
        onClick={props.toggle}
        onKeyDown={toNeighbour}
      >
        <span>
          {!cue.on && <em className="cue__off">{t("cues.off")} </em>}
          <span>{when}</span> <strong>{words}</strong> {about && <span className="soft">{about}</span>}
        </span>
        <span className="cue__due figures" dir="ltr">
          {dueMs === null ? "—" : clockText(dueMs)}
        </span>
      </button>
      {notes.length > 0 && <p className="cue__notes">{t("cues.differs.here", { what: notes.join(" ") })}</p>}
      <FoundAt found={found} underSky={props.underSky} take={props.mend} />
      {editor && <CueEditor cue={cue} {...editor} />}
    </li>
  );
}

/** What rules find, each with what mends it. */
export function FoundAt(props: {
  found: readonly FoundAtCue[];
  underSky: boolean;
  take: (mend: CueMend) => void;
}) {
  return props.found.map(({ finding, mends }) => (
    <div key={`${finding.code}-${finding.field ?? ""}`} className="cue__found">
      <RigFindings findings={[finding]} />
      {mends.length > 0 && (
        <div className="cue__mends">
          {mends.map((mend) => (
            <Button key={`${mend.kind} ${mend.says}`} action="take-cue-mend" onClick={() => props.take(mend)}>
              {mendWords(mend, props.underSky)}
            </Button>
          ))}
        </div>
      )}
    </div>
  ));
}

function mendWords({ kind, cue, says }: CueMend, underSky: boolean): string {
  switch (kind) {
    case "window":
      return t("cues.mend.window", { window: (cue && windowWords(cue)) || t("cues.window.none") });
    case "move":
      return t("cues.mend.move", { when: cue ? offsetWords(cue.anchor, cue.offsetS) : "" });
    case "asBase":
      return t(underSky ? "cues.asClear" : "cues.asUsual");
    case "hands":
      return says ?? "";
    case "leaveOut":
      return t("cues.mend.leaveOut");
    default:
      return t("cues.mend.restore");
  }
}

/** Up and down from sentence to sentence, over headings; Home and End to the ends. */
function toNeighbour(event: KeyboardEvent<HTMLButtonElement>): void {
  const list = event.currentTarget.closest("[data-cues]");
  const all = [...(list?.querySelectorAll<HTMLElement>("[data-action=open-cue]") ?? [])];
  const at = all.indexOf(event.currentTarget);
  const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: all.length - 1 }[event.key];
  const next = to === undefined ? undefined : all[to];
  if (!next) return;
  event.preventDefault();
  next.focus();
}
