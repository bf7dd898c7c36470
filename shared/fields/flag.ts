/** Yes or no, as a schema. */
import * as v from "valibot";

export const flag = v.boolean("must be true or false");
