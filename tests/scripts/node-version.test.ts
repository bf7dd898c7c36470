/** Caret ranges mean what the npm registry's semver documentation says (semver, "Caret Ranges"). */
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { nodeComplaint, nodeFits } from "../../scripts/setup/node-version.mjs";

const { engines } = JSON.parse(readFileSync(new URL("../../package.json", import.meta.url), "utf8")) as {
  engines: { node: string };
};

describe("the check of Node's version", () => {
  it("takes what package.json names and nothing else", () => {
    for (const good of ["20.19.0", "20.20.2", "22.12.0", "22.99.1", "24.0.0", "24.11.1"]) {
      expect([good, nodeFits(good, engines.node)]).toEqual([good, true]);
    }
    for (const bad of ["18.20.4", "20.18.9", "21.7.3", "22.11.0", "23.5.0", "25.0.0", "4.9.1"]) {
      expect([bad, nodeFits(bad, engines.node)]).toEqual([bad, false]);
    }
  });

  it("says in a sentence what is here and what is needed", () => {
    expect(nodeComplaint("20.20.2", engines.node)).toBeNull();
    expect(nodeComplaint("18.20.4", "^20.19 || ^22.12")).toBe(
      "Noonfall needs Node.js 20.19, 22.12 or a later release of one of these lines; " +
        "this is Node.js 18.20.4. Install a fitting one (nodejs.org) and start again.",
    );
  });
});
