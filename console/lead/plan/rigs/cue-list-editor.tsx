/** A rig's cues: when (contact and offset), words, on or off. Rules are checked when it is saved. */
import { useEffect, useId, useRef, useState } from "react";
import { lengthOf } from "../../../../shared/fields/text.ts";
import type { AssessedFinding } from "../../../../shared/plan/assess/assess-plan.ts";
import { type Cue, CueSchema } from "../../../../shared/plan/model/cue.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { isFilterAction } from "../../../../shared/plan/model/vocabulary.ts";
import { anchorMs, contactsOf } from "../../../../shared/run/effective-contacts.ts";
import { rangeWords, readWithin } from "../../../forms/field-range.ts";
import { clockText } from "../../../parts/time-format.ts";
import { anchorWords } from "../../../parts/words-for-anchor.ts";
import { cueWords } from "../../../parts/words-for-cue.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { RigFindings } from "../check/rig-findings.tsx";

interface CueListEditorProps {
  rig: Rig;
  cues: readonly Cue[];
  /** The cue and field that the hub found wrong. */
  wrong: { index: number; field: string } | null;
  /** What a check of the draft says of this rig. */
  found: readonly AssessedFinding[];
  /** The cue whose offset cannot be read, sought by a save: its field takes the focus. */
  sought: SoughtCue | null;
  change: (cues: Cue[]) => void;
  /** Told of each cue whose offset can no longer be read as typed, and again once it can. */
  unread: (cueId: string, unread: boolean) => void;
  defaults: () => void;
}

/** One object per save, so that the same field is sought again by the next. */
export interface SoughtCue {
  cueId: string;
}

const { offsetS: OFFSET, say: SAY } = CueSchema.entries;

/** The lead's own words as typed; null where they are the usual ones, or none. */
export function ownWords(typed: string, usual: string): string | null {
  return typed.trim() === "" || typed === usual ? null : typed;
}

export function CueListEditor(props: CueListEditorProps) {
  const { cues, wrong } = props;
  const { view } = useLead();
  const { state } = view;
  const real = state?.runs[state.realRunId];
  const contacts = state && real ? contactsOf(state, { ...real, shifts: {}, calls: [] }) : null;
  const edit = (index: number, part: Partial<Cue>) =>
    props.change(cues.map((cue, i) => (i === index ? { ...cue, ...part } : cue)));
  return (
    <section className="cue-list" data-cues={cues.length}>
      <header className="cue-list__head">
        <h3>{t("lead.cues.title")}</h3>
        <Button action="default-cues" kind="quiet" onClick={props.defaults}>
          {t("lead.cues.defaults")}
        </Button>
      </header>
      {cues.length === 0 ? (
        <p className="soft">{t("lead.cues.none")}</p>
      ) : (
        <ol className="cue-list__rows">
          {cues.map((cue, index) => {
            const at = contacts ? anchorMs(contacts, cue.anchor) : null;
            return (
              <CueRow
                key={cue.id}
                cue={cue}
                dueMs={at === null ? null : at + cue.offsetS * 1000}
                wrong={wrong?.index === index ? wrong.field : null}
                found={props.found.filter(({ cueId }) => cueId === cue.id)}
                sought={props.sought?.cueId === cue.id ? props.sought : null}
                edit={(part) => edit(index, part)}
                unread={(unread) => props.unread(cue.id, unread)}
              />
            );
          })}
        </ol>
      )}
      <p className="soft">{t("rules.caution")}</p>
    </section>
  );
}

function CueRow(props: {
  cue: Cue;
  dueMs: number | null;
  wrong: string | null;
  found: readonly AssessedFinding[];
  sought: SoughtCue | null;
  edit: (part: Partial<Cue>) => void;
  unread: (unread: boolean) => void;
}) {
  const { cue, dueMs, edit, sought } = props;
  const field = useRef<HTMLInputElement>(null);
  const id = useId();
  const [typed, setTyped] = useState<string | null>(null);
  const unread = typed !== null && readWithin(OFFSET, typed) === null;
  const range = rangeWords(OFFSET);
  const words = cueWords({ ...cue, say: null });
  const filter = isFilterAction(cue.action);
  // What a filter cue says stands beside the lead's note; any other's words are there to be changed.
  const usual = filter ? "" : words;
  const [said, setSaid] = useState<string | null>(null);
  useEffect(() => {
    if (sought) field.current?.focus();
  }, [sought]);
  return (
    <li className="cue-row" data-cue={cue.id} data-on={cue.on} data-wrong={props.wrong ?? ""}>
      <label className="check cue-row__on">
        <input
          type="checkbox"
          name="on"
          checked={cue.on}
          aria-label={t("lead.cues.on", { words })}
          onChange={(event) => edit({ on: event.target.checked })}
        />
      </label>
      <label className="cue-row__when">
        <span>{anchorWords(cue.anchor)}</span>
        <input
          ref={field}
          name="offsetS"
          className="field field--short"
          dir="ltr"
          inputMode="text"
          value={typed ?? `${cue.offsetS > 0 ? "+" : ""}${cue.offsetS}`.replace("-", "−")}
          aria-label={t("lead.cues.offset", { words })}
          aria-invalid={unread || props.wrong === "offsetS"}
          aria-describedby={unread ? `${id}-says` : undefined}
          onChange={(event) => {
            setTyped(event.target.value);
            const value = readWithin(OFFSET, event.target.value);
            props.unread(value === null);
            if (value !== null) edit({ offsetS: value });
          }}
          onBlur={() => {
            if (!unread) setTyped(null);
          }}
        />
        <span>{range.unit}</span>
        {unread && (
          <span id={`${id}-says`} className="says--wrong figures" dir="ltr" role="alert">
            {`${range.least} … +${range.most} ${range.unit}`}
          </span>
        )}
      </label>
      <span className="cue-row__due figures">{dueMs === null ? "—" : clockText(dueMs)}</span>
      <div className="cue-row__say">
        {filter && <span>{words}</span>}
        <input
          name="say"
          className="field"
          maxLength={lengthOf(SAY)}
          placeholder={filter ? t("lead.cues.noteHere") : undefined}
          value={said ?? cue.say ?? usual}
          aria-label={t(filter ? "lead.cues.note" : "lead.cues.say", { words })}
          onChange={(event) => {
            setSaid(event.target.value);
            edit({ say: ownWords(event.target.value, usual) });
          }}
          onBlur={() => setSaid(null)}
        />
      </div>
      <small className="cue-row__notes">
        {[
          cue.repeat
            ? t("lead.cues.repeat", {
                seconds: cue.repeat.everyS,
                until: anchorWords(cue.repeat.until.anchor),
              })
            : "",
          cue.confirm ? t("lead.cues.confirm") : "",
        ]
          .filter(Boolean)
          .join(" · ")}
      </small>
      {props.found.length > 0 && (
        <div className="cue-row__found">
          <RigFindings findings={props.found} />
        </div>
      )}
    </li>
  );
}
