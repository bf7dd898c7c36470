/** Thumbnails stay in this browser, unless the lead keeps them with the site: how many, how large, and away again. */
import { useState } from "react";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { type ImageRow, rowKey } from "./image-row.ts";
import type { Pictures } from "./use-pictures.ts";

export function KeepPictures({ rows, pictures }: { rows: readonly ImageRow[]; pictures: Pictures }) {
  const [asking, setAsking] = useState(false);
  const { progress, left } = pictures;
  const { kept, open } = pictures.shown;
  const here = rows.filter((row) => open.has(rowKey(row)));
  const megabytes = (pictures.bytes / 1e6).toFixed(1);
  return (
    <section className="images-take" data-part="keep-pictures" data-kept={kept.size}>
      <h2>{t("images.keep")}</h2>
      <p className="soft">
        {t("images.keepSays")} {kept.size > 0 && t("images.keepNow", { count: kept.size, megabytes })}
      </p>
      <ProblemLine problem={pictures.problem} />
      {progress ? (
        <div className="images-progress">
          <progress value={progress.done} max={progress.all} aria-label={t("images.keep")} />
          <Button action="stop-keeping" onClick={pictures.stop}>
            {t("images.stop")}
          </Button>
        </div>
      ) : (
        <div className="images-take__actions">
          <Button
            action="keep-pictures"
            disabled={here.length === 0}
            onClick={() => {
              setAsking(false);
              void pictures.keep(here);
            }}
          >
            {t("images.keepDo", { count: here.length })}
          </Button>
          {kept.size > 0 && (
            <Button
              action="forget-pictures"
              kind={asking ? "danger" : "quiet"}
              onClick={() => {
                setAsking(!asking);
                if (asking) void pictures.forget();
              }}
            >
              {t(asking ? "images.forgetSure" : "images.forget")}
            </Button>
          )}
        </div>
      )}
      <p role="status">{left > 0 && t("images.keepLeft", { count: left })}</p>
    </section>
  );
}
