/** S15. Predictions are off by seconds: follows from their published error bounds; wording ours. */
import { expect, test } from "vitest";
import { SET_UP_CHECKS, setUpChecksFor } from "../../../../shared/plan/defaults/set-up-checks.ts";
import { RIG_KINDS } from "../../../../shared/plan/model/vocabulary.ts";
import { rigOf, words } from "../sites-and-rigs.ts";

test("S15: every rig's set-up says once that the last word is the eye's", () => {
  for (const kind of RIG_KINDS) {
    const checks = setUpChecksFor(rigOf(kind));
    expect(checks.filter((check) => check === "eye-is-the-last-word")).toHaveLength(1);
  }
  expect(words["check.eye-is-the-last-word"]).toContain("last word is the eye");
});

test("Every set-up check has words, and only rigs with a filter are asked about it", () => {
  for (const check of SET_UP_CHECKS) expect(words).toHaveProperty([`check.${check}`]);
  expect(setUpChecksFor(rigOf("tracked-telescope"))).toContain("filter-seated");
  expect(setUpChecksFor(rigOf("wide-camera"))).not.toContain("filter-seated");
});
