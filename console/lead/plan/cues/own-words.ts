/** The lead's own words as typed; null where they are the usual ones, or none. */
export function ownWords(typed: string, usual: string): string | null {
  return typed.trim() === "" || typed === usual ? null : typed;
}
