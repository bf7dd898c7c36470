/**
 * Finds codes in a picture, away from the page's own thread: the whole of it as it is, then sharpened.
 * The decoder is WebAssembly that this hub serves; only this worker's script may compile any
 * (hub/http/app.ts). A picture that the browser cannot open is answered with an error.
 */
import { prepareZXingModule, type ReaderOptions, readBarcodes } from "zxing-wasm/reader";
import wasmUrl from "zxing-wasm/reader/zxing_reader.wasm?url";
import { sharpened } from "../../../../shared/images/camera-clock/sharpen.ts";
import type { DecodeAnswer, DecodeQuestion } from "./decoder.ts";

// Never from anywhere else: the library's own default is a public address.
prepareZXingModule({ overrides: { locateFile: () => wasmUrl } });

const OPTIONS: ReaderOptions = { formats: ["QRCode"], maxNumberOfSymbols: 8, tryHarder: true };
/** Radii of the mask, px: a module has from two to some twenty of them. */
const RADII_PX = [2, 5];

self.onmessage = async ({ data: { id, picture, part } }: MessageEvent<DecodeQuestion>) => {
  try {
    answer({ id, texts: await textsIn(picture, part) });
  } catch (cause) {
    answer({ id, error: cause instanceof Error ? cause.message : String(cause) });
  }
};

function answer(message: DecodeAnswer): void {
  self.postMessage(message);
}

async function textsIn(blob: Blob, part: DecodeQuestion["part"]): Promise<string[]> {
  const image = await createImageBitmap(blob);
  const [x, y, width, height] = part
    ? [part.x * image.width, part.y * image.height, part.width * image.width, part.height * image.height]
    : [0, 0, image.width, image.height];
  const canvas = new OffscreenCanvas(Math.max(1, Math.round(width)), Math.max(1, Math.round(height)));
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) throw new Error("no canvas");
  context.drawImage(image, x, y, width, height, 0, 0, canvas.width, canvas.height);
  image.close();
  const pixels = context.getImageData(0, 0, canvas.width, canvas.height);
  const plain = await read(pixels);
  if (plain.length > 0) return plain;
  for (const radius of RADII_PX) {
    const { data } = sharpened(pixels, radius);
    const found = await read(new ImageData(data as Uint8ClampedArray<ArrayBuffer>, pixels.width));
    if (found.length > 0) return found;
  }
  return [];
}

async function read(pixels: ImageData): Promise<string[]> {
  const found = await readBarcodes(pixels, OPTIONS);
  return found.filter(({ isValid }) => isValid).map(({ text }) => text);
}
