/** The clips of one language: a chunk of its own, fetched only where it is chosen. */
export { default as manifest } from "./es/manifest.json";
export const urls: Record<string, string> = import.meta.glob("./es/*.mp3", {
  eager: true,
  query: "?url",
  import: "default",
});
