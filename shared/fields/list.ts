/** Lists as schemas, never without an end. */
import * as v from "valibot";

/** At most `most` of something; `what` names it in the refusal: "cues". */
/* @__NO_SIDE_EFFECTS__ */
export function listOf<const Item extends v.GenericSchema>(item: Item, most: number, what = "entries") {
  return v.pipe(v.array(item), v.maxLength(most, `must have at most ${most} ${what}`));
}
