/** A photograph that gave nothing: why, and what a person can do. Cut the code out, or type the digits. */
import { type PointerEvent, useEffect, useId, useRef, useState } from "react";
import { sightingOfDigits } from "../../../../shared/images/camera-clock/from-photograph.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { Decoder, Part } from "./decoder.ts";
import { decoded, type ReadPhotograph } from "./read-photographs.ts";

export function PhotographRow(props: {
  photo: ReadPhotograph;
  decoder: () => Decoder;
  /** For digits: how far the clock may have been from UTC, ms. */
  boundMs: number;
  /** What others say of camera − UTC, ms: which day it was. */
  nearMs: number;
  change: (photo: ReadPhotograph) => void;
  remove: () => void;
}) {
  const { photo, change } = props;
  const id = useId();
  const [open, setOpen] = useState(false);
  const [digits, setDigits] = useState("");
  const [busy, setBusy] = useState(false);
  const timed = Boolean(photo.header?.stamp);
  const typed =
    photo.header && digits
      ? sightingOfDigits(photo.file.name, photo.header, digits, props.boundMs, props.nearMs)
      : null;

  async function cut(part: Part) {
    setBusy(true);
    change(await decoded(photo, () => props.decoder().decode(photo.picture, part)));
    setBusy(false);
  }
  return (
    <li data-failed={photo.file.name} data-why={photo.why}>
      <p>
        <bdi>{photo.file.name}</bdi>: {t(`cameras.why.${photo.why ?? "no code"}`)}
      </p>
      <div className="photographs__row">
        {timed && (
          <>
            <Button action="cut-out" pressed={open} onClick={() => setOpen(!open)}>
              {t("cameras.cut")}
            </Button>
            <label htmlFor={id}>{t("cameras.digits")}</label>
            <input
              id={id}
              name="digits"
              className="field field--short"
              dir="ltr"
              placeholder="10:02:08.3"
              value={digits}
              aria-invalid={digits !== "" && !typed}
              onChange={(event) => setDigits(event.target.value)}
            />
            <Button
              action="take-digits"
              disabled={!typed}
              onClick={() => typed && change({ ...photo, sighting: typed, why: null })}
            >
              {t("cameras.take")}
            </Button>
          </>
        )}
        <Button action="leave-out" kind="quiet" onClick={props.remove}>
          {t("cameras.leaveOut")}
        </Button>
      </div>
      {open && <CutOut picture={photo.picture} busy={busy} cut={(part) => void cut(part)} />}
    </li>
  );
}

/** A frame drawn over the picture with a finger or a mouse. */
function CutOut(props: { picture: Blob; busy: boolean; cut: (part: Part) => void }) {
  const [url, setUrl] = useState("");
  const [part, setPart] = useState<Part | null>(null);
  const from = useRef<{ x: number; y: number } | null>(null);
  useEffect(() => {
    const made = URL.createObjectURL(props.picture);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [props.picture]);
  const share = (event: PointerEvent<HTMLElement>) => {
    const box = event.currentTarget.getBoundingClientRect();
    const clamp = (value: number) => Math.min(1, Math.max(0, value));
    return {
      x: clamp((event.clientX - box.left) / box.width),
      y: clamp((event.clientY - box.top) / box.height),
    };
  };
  return (
    <div className="cut-out">
      <p className="soft">{t("cameras.cutSays")}</p>
      <div
        className="cut-out__picture"
        data-cut
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          from.current = share(event);
        }}
        onPointerMove={(event) => {
          if (!from.current) return;
          const to = share(event);
          setPart({
            x: Math.min(from.current.x, to.x),
            y: Math.min(from.current.y, to.y),
            width: Math.abs(to.x - from.current.x),
            height: Math.abs(to.y - from.current.y),
          });
        }}
        onPointerUp={() => {
          from.current = null;
        }}
      >
        {url && <img src={url} alt="" draggable={false} />}
        {part && (
          <span
            className="cut-out__frame"
            style={{
              left: `${part.x * 100}%`,
              top: `${part.y * 100}%`,
              width: `${part.width * 100}%`,
              height: `${part.height * 100}%`,
            }}
          />
        )}
      </div>
      <Button
        action="decode-cut"
        disabled={props.busy || !part || part.width < 0.01 || part.height < 0.01}
        onClick={() => part && props.cut(part)}
      >
        {t("cameras.cutRead")}
      </Button>
    </div>
  );
}
