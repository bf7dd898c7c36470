/** What a file's name says of it. Extensions as cameras and capture programs write them: common practice, no source. */

const IMAGES = new Set(
  (
    "jpg jpeg heic heif hif avif png tif tiff dng fit fits fts xisf " +
    "cr2 cr3 crw nef nrw arw srf sr2 orf raf rw2 raw pef ptx srw x3f 3fr fff iiq rwl mrw erf kdc dcr mef mos gpr"
  ).split(" "),
);
const VIDEOS = new Set("mp4 mov m4v avi mts m2ts mkv mxf ser braw r3d crm webm insv 360".split(" "));

export type FileKind = "image" | "video" | "other";

/** Names that begin with a dot or a tilde, and half-written ones, are nothing yet. */
export function kindOf(name: string): FileKind {
  if (/^[.~]/.test(name)) return "other";
  const extension = name.slice(name.lastIndexOf(".") + 1).toLowerCase();
  return IMAGES.has(extension) ? "image" : VIDEOS.has(extension) ? "video" : "other";
}

/** The same frame in two formats is one frame. */
export function frameOf(path: string): string {
  return path.slice(0, path.lastIndexOf(".")).toLowerCase();
}
