import { describe, expect, it } from "vitest";
import { autoPalette } from "../../../console/parts/use-palette.ts";

const c2 = 1_000_000;
const c3 = 1_251_000;

describe("the palette by itself", () => {
  it("is dusk from C2−60 s to C3+30 s of a totality", () => {
    expect(autoPalette({ c2, c3 }, c2 - 60_001)).toBe("glare");
    expect(autoPalette({ c2, c3 }, c2 - 60_000)).toBe("dusk");
    expect(autoPalette({ c2, c3 }, c3 + 29_999)).toBe("dusk");
    expect(autoPalette({ c2, c3 }, c3 + 30_000)).toBe("glare");
  });

  it("is glare where it never gets dark, and while no clock is set", () => {
    expect(autoPalette(null, c2)).toBe("glare");
    expect(autoPalette({ c2: null, c3: null }, c2)).toBe("glare");
    expect(autoPalette({ c2, c3 }, null)).toBe("glare");
  });
});
