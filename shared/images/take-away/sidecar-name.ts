/** How a sidecar is called: by the file's name without its ending, or with it. Other programs look for either. */
export const SIDECAR_NAMES = ["name.xmp", "name.ext.xmp"] as const;
export type SidecarNaming = (typeof SIDECAR_NAMES)[number];

/** Files that get the same short name (a raw file and its JPEG) get the long one each. */
export function sidecarNames(files: readonly string[], naming: SidecarNaming): Map<string, string> {
  const short = (file: string): string => `${file.replace(/\.[^./]*$/, "")}.xmp`;
  const users = new Map<string, number>();
  for (const file of files) users.set(short(file), (users.get(short(file)) ?? 0) + 1);
  return new Map(
    files.map((file) => [
      file,
      naming === "name.xmp" && users.get(short(file)) === 1 ? short(file) : `${file}.xmp`,
    ]),
  );
}
