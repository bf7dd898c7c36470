/** Which of a phone's armed pages sounds; pages stand beside each other here as in a browser's tabs. */
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { OneVoice } from "../../../../console/rig/sound/one-voice.ts";

let monoMs: number;
let wallMs: number;
let open: { page: OneVoice; use: () => void }[];

beforeEach(() => {
  [monoMs, wallMs, open] = [1000, Date.UTC(2027, 7, 2, 9), []];
  vi.spyOn(performance, "now").mockImplementation(() => monoMs);
  vi.spyOn(Date, "now").mockImplementation(() => wallMs);
});
afterEach(() => {
  for (const { page } of open) page.close();
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

/** A page that is shown now; `use` is a touch on it. */
function show(): { page: OneVoice; use: () => void } {
  let use = (): void => undefined;
  vi.stubGlobal("document", {
    visibilityState: "visible",
    addEventListener: (_: string, listener: () => void) => {
      use = listener;
    },
    removeEventListener: () => undefined,
  });
  const shown = { page: new OneVoice(() => undefined), use: () => use() };
  open.push(shown);
  return shown;
}

/** Lets time pass and both pages look at it, as they do several times a second; who sounds then. */
async function after(
  ms: number,
  pages: readonly OneVoice[],
  rigIds: readonly string[][] = [],
): Promise<boolean[]> {
  let sounds: boolean[] = [];
  for (let passed = 0; passed <= ms; passed += 500) {
    sounds = pages.map((page, index) => page.sounds(rigIds[index] ?? ["west"]));
    monoMs += 500;
    wallMs += 500;
    // Word between pages is on its way for a moment.
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  return sounds;
}

test("the page shown or touched last sounds, the other does not", async () => {
  const first = show();
  expect(await after(1000, [first.page])).toEqual([true]);
  wallMs += 10;
  const second = show();
  expect(await after(2000, [first.page, second.page])).toEqual([false, true]);
  first.use();
  expect(await after(2000, [first.page, second.page])).toEqual([true, false]);
});

test("one whose rigs the other does not hold sounds as well", async () => {
  const [first, second] = [show(), show()];
  const rigs = [["west"], ["south"]];
  expect(await after(2000, [first.page, second.page], rigs)).toEqual([true, true]);
});

test("one that does not hear the other any more sounds again, though the phone's clock was put back", async () => {
  const first = show();
  wallMs += 10;
  const second = show();
  expect(await after(2000, [first.page, second.page])).toEqual([false, true]);
  wallMs -= 120_000;
  expect(await after(2000, [first.page, second.page])).toEqual([false, true]);
  second.page.close();
  expect(await after(5000, [first.page])).toEqual([true]);
});

test("a touch counts though the phone's clock was put back", async () => {
  const first = show();
  wallMs += 10;
  const second = show();
  await after(1000, [first.page, second.page]);
  wallMs -= 120_000;
  first.use();
  expect(await after(2000, [first.page, second.page])).toEqual([true, false]);
});
