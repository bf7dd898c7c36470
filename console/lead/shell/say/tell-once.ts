/**
 * One message to rigs and to marshals. Where it reached the rigs and not the marshals, sending it again
 * tells only those who do not have it: phones would show, or sound, the same words twice. Pure.
 */
type Tell = () => Promise<boolean>;

/** Keeps what the rigs have; `what` is the same for the same words to the same rigs. True when all have it. */
export function tellOnce(): (what: string, rigs: Tell | null, marshals: Tell | null) => Promise<boolean> {
  let rigsHave: string | null = null;
  return async (what, rigs, marshals) => {
    if (rigs && rigsHave !== what) {
      if (!(await rigs())) return false;
      rigsHave = what;
    }
    if (marshals && !(await marshals())) return false;
    rigsHave = null;
    return true;
  };
}
