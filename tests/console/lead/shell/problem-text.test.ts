/** Refusals in words. The codes are those of shared/run/orders/refusal.ts; the calls' halves are S2 and S6. */
import "../../../../console/words/bundles/common.ts";
import "../../../../console/words/bundles/lead.ts";
import "../../../../console/words/bundles/rules.ts";
import { afterEach, describe, expect, it } from "vitest";
import { problemText, refusalText } from "../../../../console/lead/shell/problem-text.ts";
import { loadWords, locales } from "../../../../console/words/words.ts";
import { type RefusalCode, refusal } from "../../../../shared/run/orders/refusal.ts";

// Every code; a new one that is left out here does not compile.
const CODES = Object.keys({
  "bad-input": true,
  "not-signed-in": true,
  "not-allowed": true,
  "not-found": true,
  "stale-plan": true,
  "reused-id": true,
  "needs-acknowledgement": true,
  "no-site": true,
  "no-such-contact": true,
  "contact-passed": true,
  taken: true,
  "too-close-to-eclipse": true,
  "no-practice": true,
  "eclipse-unknown": true,
  "too-large": true,
  "too-many": true,
  protocol: true,
  internal: true,
  // The first always names its rule; the second is given by nothing.
} satisfies Record<Exclude<RefusalCode, "safety-rule" | "too-early">, true>);

describe("a refusal", () => {
  afterEach(() => loadWords("en"));

  it.each(locales)("is told by its code in the reader's words (%s)", async (locale) => {
    await loadWords(locale);
    const told = CODES.map((code) => problemText({ code, message: "HUB" }));
    expect(told.filter((text) => text === "HUB")).toEqual([]);
    expect(new Set(told).size).toBe(CODES.length);
  });

  it("of a value still says what the hub found wrong with it", () => {
    expect(problemText({ code: "bad-input", message: "name is too long" })).toContain("name is too long");
  });

  it("by a rule is the rule's sentence", () => {
    expect(problemText({ code: "safety-rule", message: "HUB", rule: "S2" })).toMatch(/^Filters never/);
  });

  it.each(["too-early", "over", "no-totality"])("of a call says which half: %s", async (reason) => {
    const refused = refusal("safety-rule", "HUB", { rule: "S6", data: { reason } });
    const english = refusalText(refused);
    expect(english).not.toMatch(/HUB|S6/);
    await loadWords("fr");
    expect(refusalText(refused)).not.toBe(english);
  });

  it("of a save that an open filter forbids names the rig, and what is to be said of it first", () => {
    const code = "safety-rule";
    const told = (reason: string) =>
      problemText({ code, message: "HUB", rule: "S9", data: { reason, rigId: "w", rig: "West <b>" } });
    expect(told("filter-off")).toMatch(/^West <b>: .*last said to be off/);
    expect(told("filter-open")).toMatch(/^West <b>: nobody has said/);
    expect(told("ends-later")).toMatch(/^West <b>: .*end later there/);
    expect(told("sun-down")).toMatch(/^West <b>: .*Sun would be down/);
    // Of any other reason the rule is told.
    expect(told("covered")).toMatch(/^When reports about a filter disagree/);
  });

  it("without a code of the hub names the status that it answered", () => {
    expect(problemText({ code: "http-502", message: "HUB" })).toContain("502");
  });

  it("with a code that no catalogue knows shows the hub's own words", () => {
    expect(problemText({ code: "brand-new", message: "HUB" })).toBe("HUB");
  });
});
