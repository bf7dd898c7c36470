/**
 * Photographs of the clock, chosen or dropped: read on the spot one by one with a bar that can be
 * stopped; what did not decode is cut out by hand or its digits typed. Kept are times, not pictures.
 */
import { type ChangeEvent, type DragEvent, useEffect, useId, useRef, useState } from "react";
import { type CameraBasis, SIGHTINGS_MOST, type Sighting } from "../../../../shared/fields/camera-clock.ts";
import { clockOf } from "../../../../shared/images/camera-clock/known-clock.ts";
import { offsetAt } from "../../../../shared/images/camera-clock/solve.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { ClockResult } from "./clock-result.tsx";
import { type Decoder, openDecoder } from "./decoder.ts";
import { PhotographRow } from "./photograph-row.tsx";
import { type ReadPhotograph, readPhotograph } from "./read-photographs.ts";
import { ZoneField, zoneNear } from "./zone-field.tsx";

/** Digits are read off by eye with nothing beside them that says how good the clock was, ms. */
const DIGITS_BOUND_MS = 1000;

export function PhotographsForm(props: {
  camera: string;
  /** What the camera calls itself, as it is read. */
  readModel: (model: string) => void;
  keep: (zoneMin: number, basis: CameraBasis) => Promise<boolean>;
}) {
  const id = useId();
  const { view } = useLead();
  const decoder = useRef<Decoder | null>(null);
  const running = useRef<{ stopped: boolean } | null>(null);
  const [photos, setPhotos] = useState<readonly ReadPhotograph[]>([]);
  const [progress, setProgress] = useState<{ done: number; all: number } | null>(null);
  const [zone, setZone] = useState<number | null>(null);
  useEffect(
    () => () => {
      if (running.current) running.current.stopped = true;
      decoder.current?.close();
      decoder.current = null;
    },
    [],
  );
  const opened = () => {
    decoder.current ??= openDecoder();
    return decoder.current;
  };

  async function read(files: readonly File[]) {
    if (files.length === 0 || running.current) return;
    const run = { stopped: false };
    running.current = run;
    const fresh = files.filter(
      (file) => !photos.some((one) => one.file.name === file.name && one.file.size === file.size),
    );
    setProgress({ done: 0, all: fresh.length });
    for (const [done, file] of fresh.entries()) {
      const photo = await readPhotograph(file, opened());
      // Stopped in the middle of a picture: it can be chosen again.
      if (run.stopped) break;
      setPhotos((before) => [...before, photo]);
      if (photo.model) props.readModel(photo.model);
      setProgress({ done: done + 1, all: fresh.length });
    }
    running.current = null;
    setProgress(null);
  }
  function stop() {
    if (running.current) running.current.stopped = true;
    decoder.current?.close();
    decoder.current = null;
  }
  const change = (photo: ReadPhotograph) =>
    setPhotos((before) => before.map((one) => (one.key === photo.key ? photo : one)));

  const sightings = photos
    .flatMap(({ sighting }) => (sighting ? [sighting] : []))
    .slice(0, SIGHTINGS_MOST) as Sighting[];
  const basis: CameraBasis = { how: "sightings", sightings };
  const clock = sightings.length > 0 ? clockOf(basis, 0) : null;
  const offsetMs = clock ? offsetAt(clock, clock.originUtcMs).offsetMs : 0;
  const zoneMin = zone ?? zoneNear(offsetMs);
  const bounds = sightings.map(({ boundMs }) => boundMs);
  const failed = photos.filter(({ sighting }) => !sighting);

  return (
    <fieldset
      className="photographs"
      data-drop
      onDragOver={(event: DragEvent) => event.preventDefault()}
      onDrop={(event: DragEvent) => {
        event.preventDefault();
        void read([...event.dataTransfer.files]);
      }}
    >
      <label htmlFor={id}>{t("cameras.choose")}</label>
      <input
        id={id}
        name="clock-photographs"
        type="file"
        multiple
        className="field"
        disabled={progress !== null}
        onChange={(event: ChangeEvent<HTMLInputElement>) => {
          void read([...(event.target.files ?? [])]);
          event.target.value = "";
        }}
      />
      <p className="soft">{t("cameras.chooseSays")}</p>
      {progress && (
        <div className="photographs__progress">
          <progress max={progress.all} value={progress.done} aria-label={t("cameras.reading", progress)} />
          <span aria-live="polite">{t("cameras.reading", progress)}</span>
          <Button action="stop-reading" onClick={stop}>
            {t("cameras.stop")}
          </Button>
        </div>
      )}
      {photos.length > 0 && (
        <p data-read={sightings.length} data-failed={failed.length}>
          {t("cameras.read", { read: sightings.length, all: photos.length })}
        </p>
      )}
      {failed.length > 0 && (
        <ul className="photographs__failed">
          {failed.map((photo) => (
            <PhotographRow
              key={photo.key}
              photo={photo}
              decoder={opened}
              boundMs={Math.max(DIGITS_BOUND_MS, ...bounds)}
              nearMs={clock ? offsetMs : zoneMin * 60_000}
              change={change}
              remove={() => setPhotos((before) => before.filter(({ key }) => key !== photo.key))}
            />
          ))}
        </ul>
      )}
      {sightings.length > 0 && view.state && (
        <>
          <ZoneField value={zoneMin} change={setZone} />
          <ClockResult camera={props.camera} basis={basis} zoneMin={zoneMin} state={view.state} />
          <Button
            action="keep-clock"
            kind="main"
            disabled={progress !== null}
            onClick={() =>
              void props.keep(zoneMin, basis).then((kept) => {
                if (!kept) return;
                setPhotos([]);
                setZone(null);
              })
            }
          >
            {t("cameras.keep")}
          </Button>
        </>
      )}
    </fieldset>
  );
}
