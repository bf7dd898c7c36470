/** Choosing folders or files of a rig, and the bar of their reading. */
import { type DragEvent, useState } from "react";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { type Chosen, dropped, sortOut } from "./chosen-files.ts";
import type { ReadingView } from "./reading.ts";

interface ChooseProps {
  rigs: readonly Rig[];
  /** Names of a rig's cameras whose clocks are known. */
  camerasOf: (rigId: string) => readonly string[];
  reading: ReadingView | null;
  choose: (rigId: string, camera: string | null, chosen: Chosen) => void;
  stop: () => void;
  goOn: () => void;
}

const UNREAD_SHOWN = 5;

export function ChoosePart({ rigs, camerasOf, reading, choose, stop, goOn }: ChooseProps) {
  const [rigId, setRigId] = useState(rigs[0]?.id ?? "");
  const [camera, setCamera] = useState("");
  const cameras = camerasOf(rigId);
  const busy = reading?.state === "reading";
  const taken = (chosen: Chosen) => choose(rigId, cameras.includes(camera) ? camera : null, chosen);
  function drop(event: DragEvent): void {
    event.preventDefault();
    if (!busy) void dropped(event.dataTransfer).then(taken);
  }
  return (
    <section
      className="images-choose"
      data-part="choose-images"
      aria-label={t("images.choose")}
      onDragOver={(event) => event.preventDefault()}
      onDrop={drop}
    >
      <label>
        <span>{t("images.rig")}</span>
        <select
          value={rigId}
          disabled={busy}
          data-action="images-rig"
          onChange={(event) => setRigId(event.target.value)}
        >
          {rigs.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      {cameras.length > 1 && (
        <label>
          <span>{t("images.camera")}</span>
          <select
            value={camera}
            disabled={busy}
            data-action="images-camera"
            onChange={(event) => setCamera(event.target.value)}
          >
            <option value="">{t("images.cameraByFile")}</option>
            {cameras.map((one) => (
              <option key={one}>{one}</option>
            ))}
          </select>
        </label>
      )}
      <FilesButton action="choose-folder" text={t("images.folder")} folder disabled={busy} taken={taken} />
      <FilesButton
        action="choose-files"
        text={t("images.files")}
        folder={false}
        disabled={busy}
        taken={taken}
      />
      <p className="soft images-choose__says">{t("images.chooseSays")}</p>
      {reading && (
        <div className="images-progress" data-reading={reading.state}>
          <progress value={reading.done} max={Math.max(1, reading.all)} aria-label={t("images.reading")} />
          <span>{t("images.progress", { done: reading.done, all: reading.all })}</span>
          {busy && (
            <Button action="stop-reading" onClick={stop}>
              {t("images.stop")}
            </Button>
          )}
          {reading.state === "stopped" && (
            <Button action="go-on-reading" onClick={goOn}>
              {t("images.goOn")}
            </Button>
          )}
        </div>
      )}
      {reading && reading.unread.length > 0 && (
        <ul className="images-choose__unread" data-part="unread">
          <li>{t("images.unread", { count: reading.unread.length })}</li>
          {reading.unread.slice(0, UNREAD_SHOWN).map(({ path, problem }) => (
            <li key={path} className="soft">
              <bdi>{path}</bdi>: <bdi>{problem}</bdi>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

interface FilesButtonProps {
  action: string;
  text: string;
  folder: boolean;
  disabled: boolean;
  taken: (chosen: Chosen) => void;
}

function FilesButton({ action, text, folder, disabled, taken }: FilesButtonProps) {
  return (
    <label className="button images-choose__files">
      {text}
      <input
        type="file"
        multiple
        disabled={disabled}
        data-action={action}
        {...(folder ? { webkitdirectory: "" } : {})}
        onChange={(event) => {
          taken(sortOut(event.target.files ?? []));
          // The same folder may be chosen again.
          event.target.value = "";
        }}
      />
    </label>
  );
}
