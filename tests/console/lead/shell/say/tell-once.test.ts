/** A message to rigs and marshals, one of whom the hub could not be told for. */
import { expect, test } from "vitest";
import { tellOnce } from "../../../../../console/lead/shell/say/tell-once.ts";

function heard(answers: boolean[]) {
  const tell = async () => {
    tell.times += 1;
    return answers.shift() ?? true;
  };
  tell.times = 0;
  return tell;
}

test("what the rigs have is not sent to them again while the marshals are tried again", async () => {
  const [rigs, marshals] = [heard([]), heard([false])];
  const tell = tellOnce();
  expect(await tell("water", rigs, marshals)).toBe(false);
  expect(await tell("water", rigs, marshals)).toBe(true);
  expect([rigs.times, marshals.times]).toEqual([1, 2]);
  // Once all have it, the same words are a new message.
  expect(await tell("water", rigs, marshals)).toBe(true);
  expect([rigs.times, marshals.times]).toEqual([2, 3]);
});

test("other words, or a message that the rigs do not have, go to the rigs", async () => {
  const [rigs, marshals] = [heard([false]), heard([false])];
  const tell = tellOnce();
  expect(await tell("water", rigs, marshals)).toBe(false);
  expect([rigs.times, marshals.times]).toEqual([1, 0]);
  expect(await tell("water", rigs, marshals)).toBe(false);
  expect(await tell("shade", rigs, marshals)).toBe(true);
  expect([rigs.times, marshals.times]).toEqual([3, 2]);
});
