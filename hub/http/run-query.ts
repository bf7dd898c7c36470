/** `run=` of what is asked of one run: without it the run that is on, else the real one. */
import * as v from "valibot";
import { id } from "../../shared/fields/id.ts";
import { said } from "./said.ts";

export const runQuery = {
  run: v.optional(
    said(
      id,
      "The run's id, as GET /api/log.json names it; without it the practice that is on, or else the real run",
    ),
  ),
};
