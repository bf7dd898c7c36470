/** Who acted. The hub's own name for a lead without one: hub/http/lead-routes.ts. */
import "../../../../console/words/bundles/lead.ts";
import { expect, test } from "vitest";
import { personOf } from "../../../../console/lead/shell/person-of.ts";

test.each([
  ["lead:Ada", "Ada"],
  ["lead:Ada: north", "Ada: north"],
  ["lead:lead", "a lead"],
  ["lead", "a lead"],
  ["rig:west", "west"],
  ["hub", "hub"],
])("%s is %s", (actor, said) => {
  expect(personOf(actor)).toBe(said);
});
