import { describe, expect, test } from "vitest";
import { contactText } from "../../../../shared/images/take-away/labels.ts";

describe("how far a frame is from its contact", () => {
  test.each([
    [0, "C2+0.0 s"],
    [-0.04, "C2+0.0 s"],
    [12.34, "C2+12.3 s"],
    [-4.2, "C2−4.2 s"],
    [59.4, "C2+59.4 s"],
    [59.6, "C2+59.6 s"],
    [59.97, "C2+1:00"],
    [60, "C2+1:00"],
    [-180.7, "C2−3:01"],
    [1560.1, "C2+26:00"],
    [-3599.6, "C2−60:00"],
  ])("%s s reads %s", (s, text) => {
    expect(contactText({ contact: "C2", s })).toBe(text);
  });
});
