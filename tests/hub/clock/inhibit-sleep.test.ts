import { afterEach, expect, test } from "vitest";
import { inhibitCommands, SleepInhibitor } from "../../../hub/clock/inhibit-sleep.ts";

let held: SleepInhibitor | null = null;
afterEach(() => held?.stop());
const start = async (commands: { command: string; args: string[] }[]) => {
  held = new SleepInhibitor(commands);
  return held.start();
};
const node = (code: string) => ({ command: process.execPath, args: ["-e", code] });

test("Linux and macOS have their command, others none", () => {
  expect(inhibitCommands("linux", 42).map((c) => c.command)).toEqual(["systemd-inhibit", "systemd-inhibit"]);
  expect(inhibitCommands("darwin", 42)).toEqual([
    { command: "caffeinate", args: ["-i", "-s", "-m", "-w", "42"] },
  ]);
  expect(inhibitCommands("win32", 42)).toEqual([]);
});

test("a command that goes on running holds, and is ended with the hub", async () => {
  expect(await start([node("setTimeout(() => {}, 60000)")])).toEqual({
    state: "held",
    detail: process.execPath,
  });
  held?.stop();
  expect(held?.state().state).toBe("off");
});

test("a command that ends at once cannot, and says why; the next is tried", async () => {
  const refuses = node("console.error('no right to do that'); process.exit(1)");
  expect(await start([refuses])).toMatchObject({
    state: "cannot",
    detail: expect.stringContaining("no right"),
  });
  expect((await start([refuses, node("setTimeout(() => {}, 60000)")])).state).toBe("held");
});

test("an absent command, or none at all, is said", async () => {
  expect((await start([{ command: "no-such-command-here", args: [] }])).state).toBe("cannot");
  expect((await start([])).state).toBe("cannot");
});

test("a command that is ended later is noticed", async () => {
  await start([node("setTimeout(() => process.exit(3), 1900)")]);
  expect(held?.state().state).toBe("held");
  await new Promise((r) => setTimeout(r, 1500));
  expect(held?.state().state).toBe("cannot");
});
