/**
 * After → images: folders in, every frame in its place, the same second of all rigs side by side, what was
 * missed, and all of it out again as sidecars. Images are read in this browser and stay where they are.
 */
import { useMemo, useState } from "react";
import "../../../words/bundles/images.ts";
import { ownValue } from "../../../../shared/fields/own-key.ts";
import { cuesInRun } from "../../../../shared/run/cues/cues-in-run.ts";
import { contactsOf } from "../../../../shared/run/effective-contacts.ts";
import { newRun, type SiteState } from "../../../../shared/run/state.ts";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { clockText } from "../../../parts/time-format.ts";
import { timeLineLayout } from "../../../parts/time-line-layout.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { ChoosePart } from "./choose-part.tsx";
import { ContactSheet } from "./contact-sheet.tsx";
import { timed } from "./image-row.ts";
import { findingWords } from "./image-words.ts";
import { ImagesPicture, type PictureRig } from "./images-picture.tsx";
import { KeepPictures } from "./keep-pictures.tsx";
import { momentAt, nextFrameMs } from "./picture-layout.ts";
import { SecondStrip } from "./second-strip.tsx";
import { TakeAwayPart } from "./take-away-part.tsx";
import { type Images, useImages } from "./use-images.ts";
import { type ShownPictures, usePictures } from "./use-pictures.ts";
import "../../shell/sections.css";
import "./images.css";

export function ImagesScreen() {
  const { view } = useLead();
  const { state } = view;
  if (!state) return <EmptyNote text={t("app.loading")} />;
  return <ImagesOfSite state={state} />;
}

function ImagesOfSite({ state }: { state: SiteState }) {
  const { api } = useLead();
  const runId = state.realRunId;
  const images = useImages(api, runId, state.cameraClocks);
  const pictures = usePictures(api, runId, images.open);
  const { plan } = state;
  const rigName = (id: string): string => plan.rigs.find((rig) => rig.id === id)?.name ?? id;
  const camerasOf = (rigId: string): string[] => [
    ...new Set(state.cameraClocks.filter((one) => one.rigId === rigId).map(({ camera }) => camera)),
  ];
  const frames = images.answer?.frames ?? [];
  const findings = images.answer?.findings ?? [];
  return (
    <div className="images" data-run={runId}>
      <header className="images__head">
        <div>
          <h1>{t("images.title")}</h1>
          <p className="soft">{t("images.says")}</p>
        </div>
        <div className="images__actions">
          <a className="button button--quiet" href="#camera-clocks" data-action="camera-clocks">
            {t("images.clocks")}
          </a>
          <Button action="print-images" disabled={frames.length === 0} onClick={() => window.print()}>
            {t("images.print")}
          </Button>
        </div>
      </header>
      <ProblemLine problem={images.problem} />
      {plan.rigs.length > 0 ? (
        <ChoosePart rigs={plan.rigs} camerasOf={camerasOf} {...images} />
      ) : (
        <EmptyNote text={t("images.noRigs")} />
      )}
      {findings.length > 0 && (
        <section data-part="findings" className="images__findings">
          <h2>{t("images.findings")}</h2>
          <ul>
            {findings.map((finding) => (
              <li key={JSON.stringify(finding)} data-finding={finding.kind} data-rig={finding.rigId}>
                {findingWords(finding, rigName)}
              </li>
            ))}
          </ul>
        </section>
      )}
      {frames.length > 0 && <Seen state={state} images={images} pictures={pictures.shown} />}
      {frames.length > 0 && (
        <TakeAwayPart
          rows={frames}
          rigName={rigName}
          eclipse={plan.eclipse}
          site={plan.site}
          sidecars={images.sidecars}
        />
      )}
      {frames.length > 0 && <KeepPictures rows={frames} pictures={pictures} />}
    </div>
  );
}

/** The picture, the second under the hand, and the sheet; only where there is an eclipse to draw. */
function Seen({ state, images, pictures }: { state: SiteState; images: Images; pictures: ShownPictures }) {
  const run = ownValue(state.runs, state.realRunId) ?? newRun(state.realRunId, "real");
  const effective = useMemo(() => contactsOf(state, run), [state, run]);
  const contacts = effective.predicted;
  const layout = useMemo(() => timeLineLayout(contacts), [contacts]);
  const rows = useMemo(() => timed(images.answer?.frames ?? []), [images.answer]);
  const rigs = useMemo(
    () =>
      state.plan.rigs.map(
        (rig): PictureRig => ({
          rig,
          rows: rows.filter(({ rigId }) => rigId === rig.id),
          cues: cuesInRun(rig, run, effective).map((one) => ({ ...one, handsS: one.cue.handsS })),
        }),
      ),
    [state, run, effective, rows],
  );
  const withFrames = useMemo(() => rigs.filter(({ rows: own }) => own.length > 0), [rigs]);
  const [atMs, setAtMs] = useState<number>(contacts.c2 ?? contacts.max ?? rows[0]?.atMs ?? 0);
  if (!layout || rows.length === 0) return <EmptyNote text={t("images.noneTimed")} />;
  const step = (forward: boolean) => {
    const next = nextFrameMs(rows, atMs, forward);
    if (next !== null) setAtMs(next);
  };
  const palette = document.documentElement.dataset.palette ?? "";
  return (
    <>
      <section data-part="seen">
        <ImagesPicture layout={layout} rigs={rigs} atMs={atMs} move={setAtMs} palette={palette} />
        <div className="images__move">
          <Button action="frame-before" onClick={() => step(false)}>
            {t("images.before")}
          </Button>
          <input
            type="range"
            dir="ltr"
            min={0}
            max="1"
            step={0.0005}
            value={layout.at(atMs)}
            data-action="images-moment"
            aria-label={t("images.moment")}
            aria-valuetext={`${clockText(atMs)} UTC`}
            onChange={(event) => setAtMs(momentAt(layout, Number(event.target.value)))}
          />
          <Button action="frame-after" onClick={() => step(true)}>
            {t("images.after")}
          </Button>
          <output data-moment={Math.round(atMs)}>
            <bdi>{clockText(atMs)} UTC</bdi>
          </output>
        </div>
        <SecondStrip rigs={withFrames} atMs={atMs} pictures={pictures} />
      </section>
      <ContactSheet rigs={withFrames} pictures={pictures} />
    </>
  );
}
