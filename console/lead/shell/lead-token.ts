/** The lead's token on this device. Private windows may refuse storage: then it lasts a visit. */
export type LeadToken = string;

const KEY = "noonfall.lead.token";

export function readToken(): LeadToken | null {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}

export function writeToken(token: LeadToken | null): void {
  try {
    if (token === null) localStorage.removeItem(KEY);
    else localStorage.setItem(KEY, token);
  } catch {
    // No storage: the token stays in memory.
  }
}
