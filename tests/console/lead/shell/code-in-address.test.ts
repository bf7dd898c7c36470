/** A one-time code in the address of /lead. */
import { describe, expect, it } from "vitest";
import { codeIn } from "../../../../console/lead/shell/code-in-address.ts";
import { parseRoute } from "../../../../console/lead/shell/route.ts";

describe("a code in the address", () => {
  it("is read where it is one, and is no screen", () => {
    expect(codeIn("#code/01234567")).toBe("01234567");
    expect(parseRoute("#code/01234567")).toEqual({ screen: null, item: null });
    for (const hash of [
      "",
      "#",
      "#code",
      "#code/",
      "#code/123",
      "#code/012345678",
      "#code/0123456x",
      "#rigs/01234567",
    ])
      expect(codeIn(hash)).toBeNull();
  });
});
