/** The small picture of a frame: from the file where it is open, else as it is kept with the site; words where there is none. */
import { useEffect, useState } from "react";
import { t } from "../../../words/words.ts";
import { type ImageRow, rowKey } from "./image-row.ts";
import { pictureIn } from "./small-picture.ts";
import type { ShownPictures } from "./use-pictures.ts";

export function Thumbnail({ row, pictures }: { row: ImageRow; pictures: ShownPictures }) {
  const open = pictures.open.get(rowKey(row));
  const isKept = !open && pictures.kept.has(rowKey(row));
  const { load } = pictures;
  const { rigId, file } = row;
  const [url, setUrl] = useState<string | null>(null);
  useEffect(() => {
    let isOn = true;
    let made: string | null = null;
    const show = (blob: Blob | null) => {
      if (!isOn) return;
      made = blob && URL.createObjectURL(blob);
      setUrl(made);
    };
    if (isKept) void load(rigId, file).then(show);
    else show(pictureIn(open));
    return () => {
      isOn = false;
      if (made) URL.revokeObjectURL(made);
    };
  }, [open, isKept, load, rigId, file]);
  if (url) return <img className="image-thumbnail" src={url} alt={file} data-kept={isKept} />;
  return (
    <div className="image-thumbnail image-thumbnail--none soft">
      {t(open || isKept ? "images.noThumbnail" : "images.notOpen")}
    </div>
  );
}
