/** What stands under a cue on the array; SPEC R3 and R15. Seconds of queue: our own rule. */
import { beforeAll, describe, expect, it } from "vitest";
import { cueStateWords } from "../../../../../console/lead/run/array/cue-state-words.ts";
import { registerWords } from "../../../../../console/words/words.ts";
import type { CueStanding } from "../../../../../shared/run/cues/cue-states.ts";

const DUE = Date.UTC(2027, 7, 2, 10, 0, 0);
const C3 = DUE + 300_000;
const view = (action: string, state: CueStanding["state"], confirm = true, lateS = 0) =>
  ({ cue: { action, confirm }, state, dueMs: DUE, lateS }) as unknown as CueStanding;

beforeAll(() => {
  const none = async () => ({ default: {} });
  const words = {
    "lead.cue.late": "late {time}",
    "lead.cue.pastC3": "{time} past C3",
    "lead.cue.unconfirmed": "unconfirmed for {time}",
    "lead.cueState.now": "now",
    "lead.cueState.next": "next",
  };
  registerWords(words, { es: none, fr: none, ar: none });
});

describe("what stands under a cue", () => {
  it("is how long a filter cue has waited for its confirm, though its window is still open", () => {
    expect(cueStateWords(view("filter-off", "now"), DUE + 12_400, C3)).toContain("unconfirmed");
    expect(cueStateWords(view("filter-on", "now"), DUE + 5000, C3)).toContain("unconfirmed");
  });

  it("is plainly now in the first seconds, before it is due, and for every other cue", () => {
    expect(cueStateWords(view("filter-off", "now"), DUE + 4999, C3)).toBe("now");
    expect(cueStateWords(view("filter-off", "now"), DUE - 3000, C3)).toBe("now");
    expect(cueStateWords(view("burst", "now"), DUE + 20_000, C3)).toBe("now");
    expect(cueStateWords(view("filter-off", "now", false), DUE + 20_000, C3)).toBe("now");
  });

  it("is counted from C3 for an open filter once the Sun is back, as the sentence beside it is", () => {
    const open = { ...view("filter-on", "late", true, 72), exposed: true };
    expect(cueStateWords(open, C3 + 77_400, C3)).toContain("past C3");
    expect(cueStateWords(open, C3 - 5000, C3)).toContain("late");
  });

  it("is its lateness once the window is over, and its state else", () => {
    expect(cueStateWords(view("filter-off", "late", true, 31), DUE + 31_000, C3)).toContain("late");
    expect(cueStateWords(view("filter-off", "next"), DUE - 60_000, C3)).toBe("next");
  });
});
