/**
 * The evening after: every camera's clock. What is known stands first, a sentence and a picture each;
 * beneath it one more is added, from photographs of the clock, a frame, or by hand.
 */
import { useId, useState } from "react";
import "../../../words/bundles/cameras.ts";
import { type CameraBasis, CameraName } from "../../../../shared/fields/camera-clock.ts";
import { lengthOf } from "../../../../shared/fields/text.ts";
import type { CameraClockRecord, SiteState } from "../../../../shared/run/state.ts";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { personOf } from "../../shell/person-of.ts";
import { useOrders } from "../../shell/use-order.tsx";
import { ClockResult } from "./clock-result.tsx";
import { ContactsSeen } from "./contacts-seen.tsx";
import { FrameForm, HandForm } from "./hand-form.tsx";
import { PhotographsForm } from "./photographs-form.tsx";
import { SoundForm } from "./sound-form.tsx";
import "../../shell/sections.css";
import "./camera-clocks.css";

const WAYS = ["photographs", "sound", "frame", "hand"] as const;

const UNNAMED = "camera";

export function CameraClocksScreen() {
  const { view, session } = useLead();
  const { give } = useOrders();
  const id = useId();
  const { state } = view;
  const [way, setWay] = useState<(typeof WAYS)[number]>("photographs");
  const [chosen, setChosen] = useState("");
  const [camera, setCamera] = useState(UNNAMED);
  const [kept, setKept] = useState("");
  if (!state) return <EmptyNote text={t("app.loading")} />;
  const { rigs } = state.plan;
  const rig = rigs.find((one) => one.id === chosen) ?? rigs[0];
  const name = camera.trim();

  async function keep(zoneMin: number, basis: CameraBasis): Promise<boolean> {
    if (!rig) return false;
    const taken = await give({ type: "noteCameraClock", rigId: rig.id, camera: name, zoneMin, basis });
    if (taken) setKept(t("cameras.kept", { camera: titleOf(state as SiteState, rig.id, name) }));
    return taken;
  }
  return (
    <div className="sections camera-clocks">
      <h1>{t("lead.nav.camera-clocks")}</h1>
      <p className="soft">{t("cameras.says")}</p>
      {known(state).map(({ newest, earlier }) => (
        <KnownClock key={newest.clockId} state={state} newest={newest} earlier={earlier} />
      ))}
      <section className="camera-clocks__add" aria-labelledby={`${id}-add`}>
        <h2 id={`${id}-add`}>{t("cameras.add")}</h2>
        {!rig ? (
          <p>{t("cameras.noRig")}</p>
        ) : (
          <>
            <div className="camera-clocks__which">
              <div className="labelled">
                <label htmlFor={`${id}-rig`}>{t("cameras.rig")}</label>
                <select
                  id={`${id}-rig`}
                  name="rig"
                  className="field"
                  value={rig.id}
                  onChange={(event) => setChosen(event.target.value)}
                >
                  {rigs.map((one) => (
                    <option key={one.id} value={one.id}>
                      {one.name}
                    </option>
                  ))}
                </select>
              </div>
              <div className="labelled">
                <label htmlFor={`${id}-camera`}>{t("cameras.camera")}</label>
                <input
                  id={`${id}-camera`}
                  name="camera"
                  className="field"
                  autoComplete="off"
                  maxLength={lengthOf(CameraName)}
                  value={camera}
                  aria-invalid={name === ""}
                  onChange={(event) => setCamera(event.target.value)}
                />
              </div>
            </div>
            <div className="camera-clocks__ways">
              {WAYS.map((one) => (
                <Button key={one} action={`by-${one}`} pressed={one === way} onClick={() => setWay(one)}>
                  {t(`cameras.by.${one}`)}
                </Button>
              ))}
            </div>
            {name !== "" && way === "photographs" && (
              <PhotographsForm
                camera={titleOf(state, rig.id, name)}
                // Frames are matched to a rig's cameras by the model in their headers.
                readModel={(model) =>
                  setCamera((before) =>
                    before === UNNAMED ? model.trim().slice(0, lengthOf(CameraName)) : before,
                  )
                }
                keep={keep}
              />
            )}
            {name !== "" && way === "sound" && (
              <SoundForm rig={rig} camera={titleOf(state, rig.id, name)} state={state} keep={keep} />
            )}
            {name !== "" && way === "frame" && <FrameForm state={state} keep={keep} />}
            {name !== "" && way === "hand" && <HandForm state={state} keep={keep} nowUtcMs={session.now()} />}
            <p className="says" role="status">
              {kept}
            </p>
          </>
        )}
      </section>
      <ContactsSeen
        state={state}
        camera={
          rig && name !== "" ? { rigId: rig.id, camera: name, title: titleOf(state, rig.id, name) } : null
        }
        titleOf={(rigId, one) => titleOf(state, rigId, one)}
      />
      <p>
        <a className="button" href="/clock" target="_blank" rel="noopener" data-action="clock">
          {t("cameras.clock")}
        </a>
      </p>
    </div>
  );
}

function KnownClock(props: {
  state: SiteState;
  newest: CameraClockRecord;
  earlier: readonly CameraClockRecord[];
}) {
  const { state, newest, earlier } = props;
  const { give } = useOrders();
  const { rigId, camera, zoneMin, basis, by, notedUtcMs } = newest;
  const title = titleOf(state, rigId, camera);
  return (
    <section data-camera={camera} data-rig={rigId}>
      <h2>
        <bdi>{title}</bdi>
      </h2>
      <ClockResult camera={title} basis={basis} zoneMin={zoneMin} state={state} />
      <p className="soft">
        {t("cameras.saidBy", {
          who: personOf(by),
          time: clockText(notedUtcMs),
          how: t(`cameras.how.${howOf(basis)}`),
        })}
        {earlier.length > 0 && ` ${t("cameras.earlier", { count: earlier.length })}`}
      </p>
      {basis.how !== "unknown" && (
        <Button
          action="forget-clock"
          kind="quiet"
          onClick={() =>
            void give({ type: "noteCameraClock", rigId, camera, zoneMin, basis: { how: "unknown" } })
          }
        >
          {t("cameras.forget")}
        </Button>
      )}
    </section>
  );
}

/** Of each camera what was said last, and what before. */
function known(state: SiteState): { newest: CameraClockRecord; earlier: CameraClockRecord[] }[] {
  const byCamera = new Map<string, CameraClockRecord[]>();
  for (const one of state.cameraClocks) {
    const key = JSON.stringify([one.rigId, one.camera]);
    byCamera.set(key, [...(byCamera.get(key) ?? []), one]);
  }
  return [...byCamera.values()].flatMap((records) => {
    const newest = records.at(-1);
    return newest ? [{ newest, earlier: records.slice(0, -1) }] : [];
  });
}

function titleOf(state: SiteState, rigId: string, camera: string): string {
  const rig = state.plan.rigs.find(({ id }) => id === rigId);
  return t("cameras.of", { camera, rig: rig?.name ?? rigId });
}

function howOf(basis: CameraBasis) {
  if (basis.how !== "sightings") return basis.how;
  const kinds = new Set(basis.sightings.map(({ of }) => of));
  if (kinds.has("code") || kinds.has("digits")) return "photographs";
  return kinds.has("sound") ? "sound" : "frame";
}
