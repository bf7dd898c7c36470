/** Taking it all away: one archive, a folder where the browser may write, a table, JSON. */
import { useRef, useState } from "react";
import type { SidecarNaming } from "../../../../shared/images/take-away/sidecar-name.ts";
import { SIDECAR_NAMES } from "../../../../shared/images/take-away/sidecar-name.ts";
import type { Site } from "../../../../shared/plan/model/plan.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { saveFile } from "../../shell/save-file.ts";
import type { ImageRow } from "./image-row.ts";
import type { WritableFolder } from "./take-away.ts";

interface TakeAwayProps {
  rows: readonly ImageRow[];
  rigName: (id: string) => string;
  eclipse: string | null;
  site: Site | null;
  /** Sidecars that were among the chosen files, by rig and path. */
  sidecars: ReadonlyMap<string, File>;
}

type Picker = (options: { mode: "readwrite" }) => Promise<WritableFolder>;
const picker = (): Picker | undefined =>
  (window as unknown as { showDirectoryPicker?: Picker }).showDirectoryPicker?.bind(window);

export function TakeAwayPart({ rows, rigName, eclipse, site, sidecars }: TakeAwayProps) {
  const [naming, setNaming] = useState<SidecarNaming>("name.xmp");
  const [progress, setProgress] = useState<{ done: number; all: number } | null>(null);
  const [said, setSaid] = useState("");
  const on = useRef(false);
  const withBound = rows.filter(({ utc, boundS }) => utc !== null && boundS !== null).length;
  const what = {
    ...{ rows, naming, rigName, eclipse, site },
    progress: (done: number, all: number) => setProgress({ done, all }),
    goesOn: () => on.current,
  };

  /** One at a time; `work` says what came of it. */
  async function busy(work: (kit: typeof import("./take-away.ts")) => Promise<string>): Promise<void> {
    if (on.current) return;
    on.current = true;
    setSaid("");
    try {
      setSaid(await work(await import("./take-away.ts")));
    } catch (error) {
      // A person who closes the folder's dialog has said no.
      if (!(error instanceof DOMException && error.name === "AbortError"))
        setSaid(t("images.take.failed", { why: String((error as Error).message) }));
    } finally {
      on.current = false;
      setProgress(null);
    }
  }
  const left = (failed: readonly string[]): string =>
    failed.length === 0 ? "" : ` ${t("images.take.left", { count: failed.length, first: failed[0] ?? "" })}`;

  const archive = () =>
    busy(async (kit) => {
      const existing = async (rigId: string, path: string) =>
        (await sidecars.get(`${rigId}/${path}`)?.text()) ?? null;
      const made = await kit.sidecarArchive({ ...what, existing });
      if (!made) return t("images.take.stopped");
      saveFile(made.blob, "noonfall-sidecars.zip");
      return t("images.take.made", { count: withBound - made.failed.length }) + left(made.failed);
    });
  const intoFolder = (pick: Picker) =>
    busy(async (kit) => {
      const { written, failed } = await kit.writeSidecars(await pick({ mode: "readwrite" }), what);
      return t("images.take.written", { count: written }) + left(failed);
    });
  const table = () =>
    busy(async (kit) => {
      saveFile(new Blob([kit.imagesTable(rows, rigName)], { type: "text/csv" }), "noonfall-images.csv");
      return "";
    });
  const json = () =>
    saveFile(
      new Blob([JSON.stringify({ images: rows }, null, 1)], { type: "application/json" }),
      "noonfall-images.json",
    );
  const pick = picker();
  return (
    <section className="images-take" data-part="take-away">
      <h2>{t("images.take")}</h2>
      <p className="soft">{t("images.takeSays", { count: withBound })}</p>
      <div className="images-take__actions">
        <Button action="sidecars-archive" disabled={withBound === 0} onClick={() => void archive()}>
          {t("images.take.archive")}
        </Button>
        {pick && (
          <Button action="sidecars-folder" disabled={withBound === 0} onClick={() => void intoFolder(pick)}>
            {t("images.take.folder")}
          </Button>
        )}
        <label className="images-take__naming">
          <span>{t("images.take.naming")}</span>
          <select
            value={naming}
            data-action="sidecar-naming"
            onChange={(event) => setNaming(event.target.value as SidecarNaming)}
          >
            {SIDECAR_NAMES.map((one) => (
              <option key={one}>{one}</option>
            ))}
          </select>
        </label>
        <Button action="images-csv" onClick={() => void table()}>
          {t("images.take.table")}
        </Button>
        <Button action="images-json" onClick={json}>
          JSON
        </Button>
      </div>
      {progress && (
        <div className="images-progress">
          <progress value={progress.done} max={progress.all} aria-label={t("images.take")} />
          <Button
            action="stop-sidecars"
            onClick={() => {
              on.current = false;
            }}
          >
            {t("images.stop")}
          </Button>
        </div>
      )}
      <p role="status">{said}</p>
    </section>
  );
}
