/** A field of an answer with what it means, for the description of the interface (openapi.ts). */
import * as v from "valibot";

export const said = <Schema extends v.GenericSchema>(schema: Schema, text: string) =>
  v.pipe(schema, v.description(text));
