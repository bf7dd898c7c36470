/** Endings of files that are looked into; what they are is told by what is in them (read-headers.ts). */
const ENDINGS: ReadonlySet<string> = new Set(
  "jpg jpeg jpe heic heif hif tif tiff dng cr2 cr3 nef nrw arw sr2 orf ori rw2 raf pef srw fit fits fts mov mp4 m4v".split(
    " ",
  ),
);

export function isMediaName(name: string): boolean {
  const ending = /\.([^./]+)$/.exec(name)?.[1];
  // What one system leaves beside each file on foreign disks begins with "._" and is no picture.
  return ending !== undefined && !name.startsWith("._") && ENDINGS.has(ending.toLowerCase());
}
