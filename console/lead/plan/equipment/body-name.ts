/** Planets in the reader's language; stars have names of their own (IAU), the same everywhere. */
import { isWordKey, t } from "../../../words/words.ts";

export function bodyName(name: string): string {
  const key = `planet.${name}`;
  return isWordKey(key) ? t(key) : name;
}
