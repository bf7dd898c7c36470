/** The one-time code that another lead's screen put into the address: "#code/12345678". */

/** The code of a fragment; null when it holds none. */
export function codeIn(hash: string): string | null {
  return /^#code\/(\d{8})$/.exec(hash)?.[1] ?? null;
}

/** Reads it and takes it out of the address, so that it stands in no history and on no screen. */
export function takeCode(): string | null {
  const code = codeIn(window.location.hash);
  if (window.location.hash.startsWith("#code/"))
    window.history.replaceState(null, "", window.location.pathname + window.location.search);
  return code;
}
