import href from "./fonts-arabic.css?url";

/** Fetches the Arabic face once a page shows Arabic; pages in other languages never carry it. */
export function loadArabicFace(locale: string): void {
  if (locale !== "ar" || document.head.querySelector(`link[href="${href}"]`)) return;
  const link = document.createElement("link");
  link.rel = "stylesheet";
  link.href = href;
  // The device's own face stands by; it is asked for again when the language is chosen again.
  link.onerror = () => link.remove();
  document.head.append(link);
}
