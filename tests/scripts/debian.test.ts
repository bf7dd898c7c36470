/** What is told of the programs that tests need besides Node. */
import { describe, expect, it } from "vitest";
import { COUNTERPARTS, findProgram, missingPackages } from "../../scripts/setup/debian.mjs";

describe("the programs that tests are held against", () => {
  it("are asked for by Debian's name of the package, and only where they are missing", () => {
    expect(missingPackages(() => "/usr/bin/there")).toEqual([]);
    expect(missingPackages((name) => (name === "nginx" ? undefined : "/usr/bin/there"))).toEqual([
      "nginx-light",
    ]);
    expect(missingPackages(() => undefined)).toEqual(Object.values(COUNTERPARTS));
  });

  it("are looked for where a daemon lies, too", () => {
    expect(findProgram("node")).toBeTruthy();
    expect(findProgram("no-such-program-of-ours")).toBeUndefined();
  });
});
