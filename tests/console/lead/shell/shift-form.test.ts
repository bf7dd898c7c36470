/** Which contact a shift is of. */
import { expect, it } from "vitest";
import { contactToShift } from "../../../../console/lead/shell/shift-form.tsx";

it("a form that stays open over a contact shifts the one that its list shows, not the one that has passed", () => {
  expect(contactToShift(null, ["c1", "c2", "max", "c3", "c4"])).toBe("c2");
  expect(contactToShift("c2", ["c2", "max", "c3", "c4"])).toBe("c2");
  // A list without what was chosen shows its first entry (HTML, "selectedness setting algorithm").
  expect(contactToShift("c2", ["max", "c3", "c4"])).toBe("max");
  expect(contactToShift("c3", ["max", "c3", "c4"])).toBe("c3");
  expect(contactToShift(null, ["c3", "c4"])).toBe("c3");
  expect(contactToShift(null, [])).toBe("max");
});
