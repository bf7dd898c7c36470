import { describe, expect, it } from "vitest";
import { compileCatalogue } from "../../scripts/setup/vite/words.ts";

describe("compileCatalogue", () => {
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
