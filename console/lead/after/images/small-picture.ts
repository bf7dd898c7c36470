/** The picture inside a file as the browser can show it, and made small enough to be kept with the site. */
import type { OpenFile } from "./chosen-files.ts";

/** Whole files that a browser can show by itself. */
const SHOWABLE = /\.(jpe?g|jpe)$/i;
const WIDTH_PX = 160;
/** Tried in turn until it is small enough. */
const QUALITIES = [0.6, 0.35, 0.15];
/** What the hub takes of one: 12,000 letters of base64. */
const MOST_BYTES = 9000;

/** Null where there is none. */
export function pictureIn(open: OpenFile | undefined): Blob | null {
  if (!open) return null;
  const { file, thumbnail } = open;
  if (thumbnail) return file.slice(thumbnail.offset, thumbnail.offset + thumbnail.length, "image/jpeg");
  return SHOWABLE.test(file.name) ? file : null;
}

/** A JPEG in base64; null where the browser cannot open it or it stays too large. */
export async function smallPicture(open: OpenFile): Promise<string | null> {
  const blob = pictureIn(open);
  if (!blob) return null;
  try {
    const image = await createImageBitmap(blob, { resizeWidth: WIDTH_PX, resizeQuality: "medium" });
    const canvas = new OffscreenCanvas(image.width, image.height);
    canvas.getContext("2d")?.drawImage(image, 0, 0);
    image.close();
    for (const quality of QUALITIES) {
      const made = await canvas.convertToBlob({ type: "image/jpeg", quality });
      if (made.size <= MOST_BYTES) return base64(new Uint8Array(await made.arrayBuffer()));
    }
    return null;
  } catch (error) {
    // No picture, or a card that was pulled out.
    if (error instanceof DOMException) return null;
    throw error;
  }
}

function base64(bytes: Uint8Array): string {
  return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
}
