/** JPEGs with a camera's stamp in them, made in no time: for tests that need hundreds. */
import { greyJpeg, textTiff } from "./image-files.ts";

/** @param cameraMs the face of the camera's clock, as if it were UTC; stamped to hundredths. */
export function stampedJpeg(cameraMs: number, level = 128): Uint8Array {
  const iso = new Date(cameraMs).toISOString();
  const exif = textTiff({
    272: "Camera A",
    36867: `${iso.slice(0, 10).replaceAll("-", ":")} ${iso.slice(11, 19)}`,
    // Four digits: a shorter text would stand in the entry itself.
    37521: `${iso.slice(20, 22)}00`,
  });
  const length = exif.length + 8;
  const head = [0xff, 0xd8, 0xff, 0xe1, length >> 8, length & 255, 0x45, 0x78, 0x69, 0x66, 0, 0];
  return Uint8Array.from([...head, ...exif, ...greyJpeg(96, 64, level).subarray(2)]);
}
