/** Fetches the Arabic face once a page shows Arabic; pages in other languages never carry it. */
export async function loadArabicFace(locale: string): Promise<void> {
  if (locale === "ar") await import("./fonts-arabic.css");
}
