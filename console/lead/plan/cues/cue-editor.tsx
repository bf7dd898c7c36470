/** One cue, open: every part of its sentence as a field, why it is there, and the ways back. */
import { useEffect, useId, useRef, useState } from "react";
import { lengthOf } from "../../../../shared/fields/text.ts";
import { type Cue, CueSchema } from "../../../../shared/plan/model/cue.ts";
import {
  CUE_ACTIONS,
  type CueAction,
  type CueAnchor,
  isFilterAction,
} from "../../../../shared/plan/model/vocabulary.ts";
import { CheckField } from "../../../forms/check-field.tsx";
import { TextField } from "../../../forms/text-field.tsx";
import { cueWords } from "../../../parts/words-for-cue.ts";
import { t, type WordKey } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { CameraFields } from "./camera-fields.tsx";
import type { CameraOffer } from "./camera-offers.ts";
import { FigureField, MomentFields } from "./cue-fields.tsx";
import { CueLine, type CueLineProps } from "./cue-line.tsx";
import { ownWords } from "./own-words.ts";

export interface CueEditorProps {
  cue: Cue;
  /** It is of the list that this one is compared with; else the lead's own. */
  known: boolean;
  /** Something of it differs from that list. */
  differs: boolean;
  /** The way back is to the clear list, not to the usual one. */
  underSky: boolean;
  why: WordKey | null;
  offers: readonly CameraOffer[];
  isHere: (anchor: CueAnchor) => boolean;
  /** The cues of the list that it may go along with. */
  others: readonly Cue[];
  /** The line that it can be dragged on; null where nothing of an eclipse is seen. */
  line: Pick<CueLineProps, "contacts" | "cues" | "choose"> | null;
  /** A save looks for what cannot be read: it takes the focus. */
  sought: object | null;
  change: (part: Partial<Cue>, step: string) => void;
  /** Told whether anything typed here cannot be read. */
  unread: (unread: boolean) => void;
  asBase: () => void;
  takeOut: () => void;
  close: () => void;
}

const { say, repeat } = CueSchema.entries;
const SAY_MOST = lengthOf(say);
const { everyS } = repeat.wrapped.entries;

const FIGURES = [
  { name: "earliestS", label: "cues.field.earliest", negative: true },
  { name: "latestS", label: "cues.field.latest", negative: false },
  { name: "handsS", label: "cues.field.hands", negative: false },
  { name: "countInS", label: "cues.field.countIn", negative: false },
] as const;

/** A series begins with this: every five minutes until C4, as the usual ones do. */
const NEW_REPEAT: NonNullable<Cue["repeat"]> = { everyS: 300, until: { anchor: "C4", offsetS: 0 } };

export function CueEditor(props: CueEditorProps) {
  const { cue, change, sought, isHere } = props;
  const id = useId();
  const box = useRef<HTMLDivElement>(null);
  const [bad, setBad] = useState<readonly string[]>([]);
  const unread = (field: string, yes: boolean) =>
    setBad((before) => [...before.filter((one) => one !== field), ...(yes ? [field] : [])]);
  const anyBad = bad.length > 0;
  const told = useRef(props.unread);
  told.current = props.unread;
  useEffect(() => {
    told.current(anyBad);
    return () => told.current(false);
  }, [anyBad]);
  useEffect(() => {
    if (sought) box.current?.querySelector<HTMLElement>('[aria-invalid="true"]')?.focus();
  }, [sought]);

  return (
    <div className="cue-editor" ref={box} data-cue-editor={cue.id}>
      {props.line && cue.on && (
        <CueLine {...props.line} open={cue} move={(offsetS) => change({ offsetS }, "when")} />
      )}
      <MomentFields
        name="when"
        legend="cues.field.when"
        anchor={cue.anchor}
        offsetS={cue.offsetS}
        along={cue.along}
        others={props.others}
        isHere={isHere}
        change={(moment) => change(moment, "when")}
        unread={unread}
      />
      <div className="cue-editor__row">
        {FIGURES.map(({ name, label, negative }) => (
          <FigureField
            key={name}
            name={name}
            label={label}
            unit={t("cues.field.s")}
            negative={negative}
            value={cue[name]}
            schema={CueSchema.entries[name]}
            change={(value) => change({ [name]: value }, name)}
            unread={unread}
          />
        ))}
      </div>
      {!props.known && (
        <div className="labelled">
          <label htmlFor={`${id}-what`}>{t("cues.field.what")}</label>
          <select
            id={`${id}-what`}
            name="action"
            className="field"
            value={cue.action}
            onChange={(event) => {
              const action = event.target.value as CueAction;
              change({ action, key: `cue.${action}` }, "action");
            }}
          >
            {CUE_ACTIONS.map((action) => (
              <option key={action} value={action}>
                {cueWords({ action, key: null, say: null })}
              </option>
            ))}
          </select>
        </div>
      )}
      <WordsField cue={cue} change={(say) => change({ say }, "say")} />
      <div className="cue-editor__checks">
        <CheckField name="on" label="cues.field.on" value={cue.on} change={(on) => change({ on }, "on")} />
        <CheckField
          name="confirm"
          label="cues.field.confirm"
          value={cue.confirm}
          change={(confirm) => change({ confirm }, "confirm")}
        />
        <CheckField
          name="repeat"
          label="cues.field.repeat"
          value={cue.repeat !== null}
          change={(on) => change({ repeat: on ? NEW_REPEAT : null }, "repeats")}
        />
      </div>
      {cue.repeat && (
        <Repeat
          repeat={cue.repeat}
          isHere={isHere}
          change={(next) => change({ repeat: next }, "repeat")}
          unread={unread}
        />
      )}
      <CameraFields
        camera={cue.camera}
        offers={props.offers}
        change={(camera) => change({ camera }, "camera")}
        unread={unread}
      />
      {props.why && (
        <details className="cue-editor__why">
          <summary data-action="why-cue">{t("cues.why")}</summary>
          <p>{t(props.why)}</p>
        </details>
      )}
      <div className="cue-editor__ends">
        <Button action="close-cue" onClick={props.close}>
          {t("cues.close")}
        </Button>
        {props.differs && props.known && (
          <Button action="cue-as-base" kind="quiet" onClick={props.asBase}>
            {t(props.underSky ? "cues.asClear" : "cues.asUsual")}
          </Button>
        )}
        {!props.known && (
          <Button action="take-out-cue" kind="quiet" onClick={props.takeOut}>
            {t("cues.takeOut")}
          </Button>
        )}
      </div>
    </div>
  );
}

/** What a filter cue says stands beside the lead's note; any other's words are there to be changed. */
function WordsField({ cue, change }: { cue: Cue; change: (say: string | null) => void }) {
  const filter = isFilterAction(cue.action);
  const usual = filter ? "" : cueWords({ ...cue, say: null });
  const [typed, setTyped] = useState<string | null>(null);
  return (
    <TextField
      name="say"
      label={filter ? "cues.field.note" : "cues.field.words"}
      value={typed ?? cue.say ?? usual}
      most={SAY_MOST}
      change={(text) => {
        setTyped(text);
        change(ownWords(text, usual));
      }}
      left={() => setTyped(null)}
    />
  );
}

function Repeat(props: {
  repeat: NonNullable<Cue["repeat"]>;
  isHere: (anchor: CueAnchor) => boolean;
  change: (repeat: Cue["repeat"]) => void;
  unread: (field: string, unread: boolean) => void;
}) {
  const { repeat: series, isHere, change, unread } = props;
  return (
    <div className="cue-editor__row">
      <FigureField
        name="everyS"
        label="cues.field.every"
        unit={t("cues.field.s")}
        value={series.everyS}
        schema={everyS}
        change={(value) => change({ ...series, everyS: value })}
        unread={unread}
      />
      <MomentFields
        name="until"
        legend="cues.field.until"
        anchor={series.until.anchor}
        offsetS={series.until.offsetS}
        isHere={isHere}
        change={(until) => change({ ...series, until })}
        unread={unread}
      />
    </div>
  );
}
