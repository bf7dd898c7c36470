/** JSON in steps is the JSON of the language (ECMA-262, 25.5): the same values, texts and refusals. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { jsonText, jsonValue } from "../../../hub/http/json-steps.ts";
import { atOnce } from "../../../shared/eclipse/steps.ts";

const inSteps = (text: string) => {
  try {
    return { value: atOnce(jsonValue(text)) };
  } catch (error) {
    return error instanceof SyntaxError ? "refused" : error;
  }
};
const asTheLanguage = (text: string) => {
  try {
    return { value: JSON.parse(text) as unknown };
  } catch {
    return "refused";
  }
};

describe("JSON in steps", () => {
  it("reads every text as JSON.parse does", () => {
    fc.assert(
      fc.property(fc.json({ maxDepth: 4 }), fc.constantFrom(0, 1, 2), (text, space) => {
        const spaced = JSON.stringify(JSON.parse(text), null, space);
        expect(inSteps(spaced)).toEqual(asTheLanguage(spaced));
      }),
    );
  });

  it("refuses a text that is cut, doubled or has a sign too many where JSON.parse does", () => {
    const text = '{"a" : [1, {"b\\"]": "x]}"}, []], "c":{}, "d" :-1.5e3 , "a":[ "\\\\" ,true]}';
    expect(inSteps(text)).toEqual(asTheLanguage(text));
    const signs = ["", ",", ":", "]", "}", "[", "{", '"', "\\", " ", "0", "\u00a0", "\u0000", "null"];
    for (let at = 0; at <= text.length; at++) {
      const cut = text.slice(0, at);
      expect(inSteps(cut), cut).toEqual(asTheLanguage(cut));
      for (const sign of signs) {
        for (const rest of [text.slice(at), text.slice(at + 1)]) {
          const spoilt = cut + sign + rest;
          expect(inSteps(spoilt), spoilt).toEqual(asTheLanguage(spoilt));
        }
      }
    }
  });

  it("takes no name for the prototype, and of two members of one name the later", () => {
    const text = '{"__proto__":{"rigs":1},"rigs":[1],"rigs":[2],"constructor":[]}';
    const { value } = inSteps(text) as { value: object };
    expect(Object.getPrototypeOf(value)).toBe(Object.prototype);
    expect(JSON.stringify(value)).toBe(JSON.stringify(JSON.parse(text)));
  });

  it("writes every value as JSON.stringify does", () => {
    const odd = fc.oneof(
      fc.constant(undefined),
      fc.constant(() => 1),
      fc.date(),
      fc.constant(Number.NaN),
    );
    const anything = fc.letrec((tie) => ({
      any: fc.oneof(
        { maxDepth: 5 },
        fc.jsonValue(),
        odd,
        fc.array(tie("any")),
        fc.dictionary(fc.string(), tie("any")),
      ),
    })).any;
    fc.assert(
      fc.property(anything, (value) => {
        expect(atOnce(jsonText(value))).toBe(JSON.stringify(value));
      }),
    );
    const long = { deep: { in: { it: { list: Array.from({ length: 300 }, (_, n) => ({ n })) } } } };
    expect(atOnce(jsonText(long))).toBe(JSON.stringify(long));
  });

  it("rests at each rig of a plan, both ways", () => {
    const plan = { group: "A", rigs: Array.from({ length: 100 }, (_, n) => ({ id: `rig-${n}`, cues: [] })) };
    const text = JSON.stringify(plan);
    for (const steps of [jsonText(plan), jsonValue(text)]) {
      let rests = 0;
      while (!steps.next().done) rests++;
      expect(rests).toBeGreaterThanOrEqual(100);
    }
  });
});
