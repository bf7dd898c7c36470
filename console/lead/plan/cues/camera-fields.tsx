/** What the camera is set to at a cue: typed, or taken from the rig's budget by one tap. */
import "../../../words/bundles/planner.ts";
import { useId, useState } from "react";
import * as v from "valibot";
import { readShutter } from "../../../../shared/budget/camera-stops.ts";
import { type CameraSettings, type Cue, CueSchema } from "../../../../shared/plan/model/cue.ts";
import { readNumber } from "../../../forms/read-number.ts";
import { cameraShort, cameraText } from "../../../parts/camera-text.ts";
import { t, type WordKey } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { CameraOffer } from "./camera-offers.ts";
import type { Unread } from "./cue-fields.tsx";

interface CameraFieldsProps {
  camera: Cue["camera"];
  offers: readonly CameraOffer[];
  change: (camera: CameraSettings | undefined) => void;
  unread: Unread;
}

type Typed = Record<"exposures" | "iso" | "fNumber", string>;
const FIELDS: readonly { part: keyof Typed; label: WordKey }[] = [
  { part: "exposures", label: "cues.field.exposures" },
  { part: "iso", label: "cues.field.iso" },
  { part: "fNumber", label: "cues.field.fNumber" },
];

/** So many are enough to see at once: the rest are behind "more". */
const SHOWN = 3;

export function CameraFields({ camera, offers, change, unread }: CameraFieldsProps) {
  const id = useId();
  const [typed, setTyped] = useState<Typed | null>(null);
  const shown = typed ?? typedOf(camera);
  const bad = typed !== null && readCamera(typed) === null;
  const type = (part: Partial<Typed>) => {
    const next = { ...shown, ...part };
    setTyped(next);
    const read = readCamera(next);
    unread("camera", read === null);
    if (read !== null) change(read === "none" ? undefined : read);
  };
  const take = (settings: CameraSettings | undefined) => {
    setTyped(null);
    unread("camera", false);
    change(settings);
  };
  const offer = (one: CameraOffer) => (
    <Button key={one.of} action="take-settings" onClick={() => take(one.camera)}>
      {t(one.of === "bracket" ? "cues.offer.bracket" : `phenomenon.${one.of}`)}{" "}
      <span className="figures" dir="ltr">
        {cameraShort(one.camera)}
      </span>
    </Button>
  );
  return (
    <fieldset className="cue-camera">
      <legend>{t("cues.field.camera")}</legend>
      <div className="cue-camera__typed">
        {FIELDS.map(({ part, label }) => (
          <div key={part} className="labelled cue-field" data-part={part}>
            <label htmlFor={`${id}-${part}`}>{t(label)}</label>
            <input
              id={`${id}-${part}`}
              name={part}
              className="field"
              dir="ltr"
              autoComplete="off"
              value={shown[part]}
              aria-invalid={bad}
              aria-describedby={bad ? `${id}-says` : undefined}
              onChange={(event) => type({ [part]: event.target.value })}
              onBlur={() => {
                if (!bad) setTyped(null);
              }}
            />
          </div>
        ))}
      </div>
      {bad && (
        <p id={`${id}-says`} className="says says--wrong" role="alert">
          {t("cues.wrong.camera")}
        </p>
      )}
      {offers.length === 0 ? (
        <p className="soft">{t("cues.offer.none")}</p>
      ) : (
        <>
          <p className="soft">{t("cues.offer.title")}</p>
          <div className="cue-camera__offers">{offers.slice(0, SHOWN).map(offer)}</div>
          {offers.length > SHOWN && (
            <details>
              <summary>{t("cues.offer.more")}</summary>
              <div className="cue-camera__offers">{offers.slice(SHOWN).map(offer)}</div>
            </details>
          )}
        </>
      )}
      {camera && (
        <Button action="no-settings" kind="quiet" onClick={() => take(undefined)}>
          {t("cues.offer.clear")}
        </Button>
      )}
    </fieldset>
  );
}

function typedOf(camera: Cue["camera"]): Typed {
  const times = camera ? cameraText({ ...camera, iso: null, fNumber: null }).replace(/ s$/, "") : "";
  return { exposures: times, iso: said(camera?.iso), fNumber: said(camera?.fNumber) };
}

function said(value: number | null | undefined): string {
  return value == null ? "" : String(value);
}

/** "none" where nothing is said; null where something cannot be read. */
function readCamera({ exposures, iso, fNumber }: Typed): CameraSettings | "none" | null {
  const times = exposures.split(/[,;·]\s*/).filter((text) => text.trim() !== "");
  if (times.length === 0 && iso.trim() === "" && fNumber.trim() === "") return "none";
  const exposuresS = times.map(readShutter);
  const number = (text: string) => (text.trim() === "" ? null : (readNumber(text) ?? Number.NaN));
  const read = v.safeParse(CueSchema.entries.camera, {
    exposuresS,
    iso: number(iso),
    fNumber: number(fNumber.replace(/^\s*f\s*\//, "")),
  });
  return read.success && read.output ? read.output : null;
}
