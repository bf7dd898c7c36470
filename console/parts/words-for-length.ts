/** A length of time in words: "4 min 11 s", "40 s", "1 h 21 min". */
import "../words/bundles/pieces.ts";
import { t } from "../words/words.ts";
import { lengthParts } from "./time-format.ts";

export function lengthWords(lengthS: number): string {
  const { h, min, s } = lengthParts(lengthS);
  if (h > 0) return min === 0 ? t("length.h", { h }) : t("length.hMin", { h, min });
  if (min === 0) return t("length.s", { s });
  return s === 0 ? t("length.min", { min }) : t("length.minS", { min, s });
}
