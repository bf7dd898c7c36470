import { describe, expect, it } from "vitest";
import { compileCatalogue } from "../../scripts/setup/vite/words.ts";

describe("compileCatalogue", () => {
  // Isolates: Unicode Standard Annex #9, 2.4 (U+2068 FSI, U+2069 PDI).
  it("sets values apart in Arabic, and only there", () => {
    const source = JSON.stringify({
      plain: "a {time} b",
      choice: "{kind, select, total {x {time}} other {y}}",
      count: "{count, plural, one {#} other {# {rig}}}",
    });
    const arabic = JSON.parse(compileCatalogue(source, "/console/words/ar/lead.json"));
    expect(arabic.plain).toEqual(["a ", "\u2068", ["time"], "\u2069", " b"]);
    expect(arabic.choice[0].slice(0, 2)).toEqual(["kind", "select"]);
    expect(arabic.choice[0][2].total).toEqual(["x ", "\u2068", ["time"], "\u2069"]);
    expect(arabic.count[0][2].one).toEqual(["#"]);
    expect(compileCatalogue(source, "/console/words/fr/lead.json")).not.toMatch(/[\u2068\u2069]/);
  });

  it("turns ICU messages into text and arguments", () => {
    const compiled = JSON.parse(compileCatalogue('{"a.b": "Alone since {time}"}', "en.json")) as object;
    expect(compiled).toEqual({ "a.b": ["Alone since ", ["time"]] });
  });

  it("names the file and the key of a message that does not parse", () => {
    expect(() => compileCatalogue('{"a.b": "open {brace"}', "xx.json")).toThrow(/xx\.json: "a\.b"/);
    expect(() => compileCatalogue('{"a": {"b": "nested"}}', "xx.json")).toThrow(
      /xx\.json: "a" is not a text/,
    );
    expect(() => compileCatalogue("[]", "xx.json")).toThrow(/flat object/);
  });
});
