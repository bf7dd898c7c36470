/** Who may compile WebAssembly: one worker's script, and no page (CSP level 3). */
import { expect, it } from "vitest";
import { compiledSources } from "../../../hub/http/app.ts";

it.each([
  ["/assets/decode-worker-DqRuA0sH.js", true],
  ["/lead", false],
  ["/rig", false],
  ["/clock", false],
  ["/assets/lead-DqRuA0sH.js", false],
  ["/decode-worker-x.js", false],
  ["/assets/decode-worker-x.js/../../lead", false],
])("%s: %s", (path, may) => {
  expect(compiledSources(path)).toBe(may ? "'wasm-unsafe-eval'" : "'self'");
});
