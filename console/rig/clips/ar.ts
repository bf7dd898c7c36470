/** The clips of one language: a chunk of its own, fetched only where it is chosen. */
export { default as manifest } from "./ar/manifest.json";
export const urls: Record<string, string> = import.meta.glob("./ar/*.mp3", {
  eager: true,
  query: "?url",
  import: "default",
});
