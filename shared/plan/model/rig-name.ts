/**
 * When two names of rigs are the same to people on a field: case, white space and the two ways in
 * which Unicode writes an accent do not tell rigs apart. Pure.
 */
export function sameRigName(a: string, b: string): boolean {
  return rigNameKey(a) === rigNameKey(b);
}

/** The form in which names are compared; empty for a name that is blank. */
export function rigNameKey(name: string): string {
  return name.normalize("NFKC").trim().replace(/\s+/g, " ").toLowerCase();
}
