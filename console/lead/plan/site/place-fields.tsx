/**
 * Where the site is: one field that takes coordinates in any usual written form, and the fields
 * they go into. The zone follows from the place. A receiver at the hub may offer its position.
 */
import { useId, useRef, useState } from "react";
import { coordinatesText } from "../../../../shared/fields/place.ts";
import { lengthOf } from "../../../../shared/fields/text.ts";
import { SiteSchema } from "../../../../shared/plan/model/plan.ts";
import { TextField } from "../../../forms/text-field.tsx";
import { isWordKey, t, type WordKey } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { problemText } from "../../shell/problem-text.ts";
import { degreesText, type SiteField, type SiteForm, type SiteProblems } from "./site-form.ts";
import { useReceiverPlace } from "./use-receiver-place.ts";

interface PlaceFieldsProps {
  form: SiteForm;
  problems: SiteProblems;
  zone: string;
  change: (part: Partial<SiteForm>) => void;
}

interface ReadCoordinates {
  latDeg: number;
  lonDeg: number;
  heightM?: number;
  zone: string;
}

export function PlaceFields(props: PlaceFieldsProps) {
  const { form, problems, change } = props;
  const receiver = useReceiverPlace();
  return (
    <div className="place-fields">
      <Field name="name" label="lead.site.name" most={lengthOf(SiteSchema.entries.name)} {...props} />
      <PasteField take={change} />
      {receiver && (
        <Button
          action="take-receiver-place"
          onClick={() =>
            change({
              lat: degreesText(receiver.latDeg),
              lon: degreesText(receiver.lonDeg),
              ...(receiver.heightM === null ? {} : { height: receiver.heightM.toFixed(0) }),
              ...(receiver.errorM === null ? {} : { placeBound: String(Math.ceil(receiver.errorM)) }),
            })
          }
        >
          {t("lead.site.receiver", {
            lat: receiver.latDeg.toFixed(4),
            lon: receiver.lonDeg.toFixed(4),
            error: receiver.errorM === null ? "?" : Math.ceil(receiver.errorM),
          })}
        </Button>
      )}
      <div className="place-fields__row">
        <Field name="lat" label="lead.site.lat" {...props} />
        <Field name="lon" label="lead.site.lon" {...props} />
      </div>
      <div className="place-fields__row">
        <Field name="height" label="lead.site.height" {...props} />
        <Field name="placeBound" label="lead.site.placeBound" {...props} />
      </div>
      <p className="place-fields__zone" data-zone={props.zone}>
        {props.zone ? t("lead.site.zone", { zone: props.zone }) : t("lead.site.zoneUnknown")}
      </p>
      <details open={form.skyline !== "" || problems.skyline !== undefined}>
        <summary>{t("lead.site.skylineOpen")}</summary>
        <Field name="skyline" label="lead.site.skyline" {...props} />
      </details>
    </div>
  );
}

function Field(props: PlaceFieldsProps & { name: SiteField; label: WordKey; most?: number }) {
  const { name, label, form, problems, most } = props;
  return (
    <TextField
      name={name}
      label={label}
      value={form[name]}
      problem={problems[name]}
      {...(most !== undefined && { most })}
      figures={name !== "name"}
      change={(text) => props.change({ [name]: text })}
    />
  );
}

/** Reads what was pasted as soon as the field rests or is left; says why it could not. */
function PasteField(props: { take: (part: Partial<SiteForm>) => void }) {
  const id = useId();
  const { api } = useLead();
  const [text, setText] = useState("");
  /** The newest text: an answer to an older one is dropped. */
  const newest = useRef("");
  const [says, setSays] = useState<{ wrong: boolean; text: string } | null>(null);

  async function read(input: string) {
    newest.current = input;
    if (input.trim() === "") {
      setSays(null);
      return;
    }
    const answer = await api.get<ReadCoordinates>(`/api/coordinates?${new URLSearchParams({ text: input })}`);
    if (newest.current !== input) return;
    if (!answer.ok) {
      const key = `coordinates.${String(answer.problem.data?.code)}`;
      setSays({ wrong: true, text: isWordKey(key) ? t(key) : problemText(answer.problem) });
      return;
    }
    const { latDeg, lonDeg, heightM } = answer.value;
    props.take({
      lat: degreesText(latDeg),
      lon: degreesText(lonDeg),
      ...(heightM === undefined ? {} : { height: String(heightM) }),
    });
    setSays({
      wrong: false,
      text: t("lead.site.pasteRead", { lat: latDeg.toFixed(5), lon: lonDeg.toFixed(5) }),
    });
  }
  return (
    <div className="labelled">
      <label htmlFor={id}>{t("lead.site.paste")}</label>
      <input
        id={id}
        name="coordinates"
        className="field"
        dir="ltr"
        autoComplete="off"
        maxLength={lengthOf(coordinatesText)}
        placeholder="27.9878 N, 33.5521 E"
        value={text}
        aria-invalid={says?.wrong ?? false}
        aria-describedby={`${id}-says`}
        onChange={(event) => {
          setText(event.target.value);
          void read(event.target.value);
        }}
      />
      <p id={`${id}-says`} className={says?.wrong ? "says says--wrong" : "says"} aria-live="polite">
        {says ? says.text : t("lead.site.pasteSays")}
      </p>
    </div>
  );
}
