/** The small picture inside a file, shown from the file itself; words where there is none. */
import { useEffect, useState } from "react";
import { t } from "../../../words/words.ts";
import type { OpenFile } from "./chosen-files.ts";

/** Whole files that a browser can show by itself. */
const SHOWABLE = /\.(jpe?g|jpe)$/i;

export function Thumbnail({ open, name }: { open: OpenFile | undefined; name: string }) {
  const [url, setUrl] = useState<string | null>(null);
  useEffect(() => {
    const blob = pictureIn(open);
    if (!blob) {
      setUrl(null);
      return;
    }
    const made = URL.createObjectURL(blob);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [open]);
  if (url) return <img className="image-thumbnail" src={url} alt={name} />;
  return (
    <div className="image-thumbnail image-thumbnail--none soft">
      {t(open ? "images.noThumbnail" : "images.notOpen")}
    </div>
  );
}

function pictureIn(open: OpenFile | undefined): Blob | null {
  if (!open) return null;
  const { file, thumbnail } = open;
  if (thumbnail) return file.slice(thumbnail.offset, thumbnail.offset + thumbnail.length, "image/jpeg");
  return SHOWABLE.test(file.name) ? file : null;
}
