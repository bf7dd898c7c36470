/** The same second of all rigs side by side: what each got, or that it got nothing. */
import { contactText } from "../../../../shared/images/take-away/labels.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { exposureWords, phaseWords } from "./image-words.ts";
import type { PictureRig } from "./images-picture.tsx";
import { rowAt } from "./picture-layout.ts";
import { Thumbnail } from "./thumbnail.tsx";
import type { ShownPictures } from "./use-pictures.ts";

/** Further away it is no picture of that second, ms. */
const NEAR_MS = 10_000;

interface StripProps {
  rigs: readonly PictureRig[];
  atMs: number;
  pictures: ShownPictures;
}

export function SecondStrip({ rigs, atMs, pictures }: StripProps) {
  return (
    <ul className="second-strip" data-part="second-strip">
      {rigs.map(({ rig, rows }) => {
        const row = rowAt(rows, atMs, NEAR_MS);
        return (
          <li key={rig.id} data-rig={rig.id} data-file={row?.file ?? ""}>
            <h3>
              <bdi>{rig.name}</bdi>
            </h3>
            {row ? (
              <>
                <Thumbnail row={row} pictures={pictures} />
                <p dir="ltr">
                  {clockText(row.atMs)} UTC
                  {row.boundS !== null && ` ±${row.boundS.toFixed(2)} s`}
                </p>
                {row.fromContact && <p dir="ltr">{contactText(row.fromContact)}</p>}
                <p>{phaseWords(row)}</p>
                <p className="soft">
                  <bdi>{exposureWords(row)}</bdi>
                </p>
                {row.filter && <FilterMark state={row.filter} />}
                <p className="soft second-strip__file">
                  <bdi>{row.file}</bdi>
                </p>
              </>
            ) : (
              <p className="soft second-strip__none">{t("images.nothingThen")}</p>
            )}
          </li>
        );
      })}
    </ul>
  );
}
