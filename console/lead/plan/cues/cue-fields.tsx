/** Fields of one cue: a number with its unit, and a time before or after what the cue hangs on. */
import { useId, useState } from "react";
import type { GenericSchema } from "valibot";
import { type Cue, CueOffsetS } from "../../../../shared/plan/model/cue.ts";
import { CUE_ANCHORS, CUE_OFFSET_MOST_S, type CueAnchor } from "../../../../shared/plan/model/vocabulary.ts";
import { rangeWords, readWithin } from "../../../forms/field-range.ts";
import { readNumber } from "../../../forms/read-number.ts";
import { lengthParts } from "../../../parts/time-format.ts";
import { anchorWords } from "../../../parts/words-for-anchor.ts";
import { cueWords } from "../../../parts/words-for-cue.ts";
import { t, type WordKey } from "../../../words/words.ts";

/** Told of every field that cannot be read as typed, and again once it can. */
export type Unread = (field: string, unread: boolean) => void;

interface FigureProps {
  name: string;
  label: WordKey;
  unit: string;
  value: number;
  schema: GenericSchema;
  /** What is stored is less than 0 and typed without the sign ("earlier by"). */
  negative?: boolean;
  change: (value: number) => void;
  unread: Unread;
}

export function FigureField(props: FigureProps) {
  const { name, label, unit, value, schema, negative = false, change, unread } = props;
  const id = useId();
  const [typed, setTyped] = useState<string | null>(null);
  const read = (text: string) => {
    const number = readNumber(text);
    if (number === null) return null;
    return readWithin(schema, String(negative ? -number || 0 : number));
  };
  const bad = typed !== null && read(typed) === null;
  const { least, most } = rangeWords(schema);
  return (
    <div className="labelled cue-field">
      <label htmlFor={id}>{`${t(label)}${t("cues.comma")}${unit}`}</label>
      <input
        id={id}
        name={name}
        className="field field--short"
        dir="ltr"
        inputMode="decimal"
        autoComplete="off"
        value={typed ?? String(negative ? -value || 0 : value)}
        aria-invalid={bad}
        aria-describedby={bad ? `${id}-says` : undefined}
        onChange={(event) => {
          setTyped(event.target.value);
          const number = read(event.target.value);
          unread(name, number === null);
          if (number !== null) change(number);
        }}
        onBlur={() => {
          if (!bad) setTyped(null);
        }}
      />
      {bad && (
        <p id={`${id}-says`} className="says says--wrong" role="alert">
          {t("cues.wrong.range", {
            least: negative ? most.replace("−", "") : least,
            most: negative ? least.replace("−", "") : most,
            unit,
          })}
        </p>
      )}
    </div>
  );
}

interface MomentProps {
  name: string;
  legend: WordKey;
  anchor: CueAnchor;
  offsetS: number;
  /** The other cue that it goes along with; then `offsetS` is not what is shown. */
  along?: Cue["along"];
  /** Those that it may go along with. */
  others?: readonly Cue[];
  /** Whether this place gets an anchor. */
  isHere: (anchor: CueAnchor) => boolean;
  change: (moment: Moment) => void;
  unread: Unread;
}

/** Before the id of another cue, among the values of what a cue hangs on. */
const CUE = "cue ";

type Moment = Pick<Cue, "anchor" | "offsetS"> & Partial<Pick<Cue, "along">>;
type Side = "before" | "after";

/** Minutes and seconds, before or after, of what: the parts of "20 s before C2". */
export function MomentFields(props: MomentProps) {
  const { name, legend, anchor, along, others = [], isHere, change, unread } = props;
  const leader = along && others.find(({ id }) => id === along.cueId);
  const offsetS = leader && along ? along.byS : props.offsetS;
  const id = useId();
  const [typed, setTyped] = useState<{ min: string; s: string } | null>(null);
  // At no distance both are the same: what was chosen last stays.
  const [zeroSide, setZeroSide] = useState<Side>("after");
  const side: Side = offsetS === 0 ? zeroSide : offsetS < 0 ? "before" : "after";
  const shown = typed ?? minutesAndSeconds(offsetS);
  const bad = typed !== null && readLength(typed) === null;
  const hang = (on: CueAnchor | { cueId: string }, byS: number) =>
    typeof on === "string"
      ? change({ anchor: on, offsetS: byS })
      : change({ anchor, offsetS: props.offsetS, along: { cueId: on.cueId, byS } });
  const put = (lengthS: number, of: Side) =>
    hang(leader ? { cueId: leader.id } : anchor, of === "before" ? -lengthS || 0 : lengthS);
  const type = (part: Partial<{ min: string; s: string }>) => {
    const next = { ...shown, ...part };
    setTyped(next);
    const lengthS = readLength(next);
    unread(name, lengthS === null);
    if (lengthS === null) return;
    if (lengthS === 0) setZeroSide(side);
    put(lengthS, side);
  };
  const figure = (part: "min" | "s", unit: WordKey) => (
    <span className="cue-moment__figure">
      <input
        id={`${id}-${part}`}
        name={`${name}-${part}`}
        className="field field--short"
        dir="ltr"
        inputMode="decimal"
        autoComplete="off"
        value={shown[part]}
        aria-invalid={bad}
        aria-describedby={bad ? `${id}-says` : undefined}
        onChange={(event) => type({ [part]: event.target.value })}
        onBlur={() => {
          if (!bad) setTyped(null);
        }}
      />
      <label htmlFor={`${id}-${part}`}>{t(unit)}</label>
    </span>
  );
  return (
    <fieldset className="cue-moment">
      <legend>{t(legend)}</legend>
      <div className="cue-moment__parts">
        {figure("min", "cues.field.min")}
        {figure("s", "cues.field.s")}
        <select
          name={`${name}-side`}
          className="field"
          aria-label={t("cues.field.side")}
          value={side}
          onChange={(event) => {
            const of = event.target.value as Side;
            setZeroSide(of);
            put(Math.abs(offsetS), of);
          }}
        >
          <option value="before">{t("cues.side.before")}</option>
          <option value="after">{t("cues.side.after")}</option>
        </select>
        <select
          name={`${name}-anchor`}
          className="field"
          aria-label={t("cues.field.anchor")}
          value={leader ? `${CUE}${leader.id}` : anchor}
          onChange={({ target: { value } }) =>
            hang(value.startsWith(CUE) ? { cueId: value.slice(CUE.length) } : (value as CueAnchor), offsetS)
          }
        >
          {CUE_ANCHORS.map((one) => (
            <option key={one} value={one}>
              {isHere(one) ? anchorWords(one) : t("cues.anchor.notHere", { anchor: anchorWords(one) })}
            </option>
          ))}
          {others.length > 0 && (
            <optgroup label={t("cues.field.otherCue")}>
              {others.map((cue) => (
                <option key={cue.id} value={`${CUE}${cue.id}`}>
                  {cueWords(cue)}
                </option>
              ))}
            </optgroup>
          )}
        </select>
      </div>
      {bad && (
        <p id={`${id}-says`} className="says says--wrong" role="alert">
          {t("cues.wrong.range", { least: 0, most: CUE_OFFSET_MOST_S / 60, unit: t("cues.field.min") })}
        </p>
      )}
    </fieldset>
  );
}

function minutesAndSeconds(offsetS: number): { min: string; s: string } {
  const lengthS = Math.abs(offsetS);
  const { h, min } = lengthParts(Math.floor(lengthS));
  const minutes = 60 * h + min;
  return { min: String(minutes), s: String(Math.round((lengthS - 60 * minutes) * 1000) / 1000) };
}

/** Seconds in all; null where one part cannot be read or it is farther than a cue may lie. */
function readLength({ min, s }: { min: string; s: string }): number | null {
  const [minutes, seconds] = [min, s].map((text) => (text.trim() === "" ? 0 : readNumber(text)));
  if (minutes == null || seconds == null || minutes < 0 || seconds < 0) return null;
  return readWithin(CueOffsetS, String(Math.round((60 * minutes + seconds) * 1000) / 1000));
}
