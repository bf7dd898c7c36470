/**
 * Time that a test moves: a hub and its pages live through a real run, of an eclipse that is months
 * away, in the seconds that matter of it. All clocks of theirs, wall, monotonic and uptime, run alike,
 * slower than the machine's if asked so that a busy machine has the time to look, and skip what the
 * test lets pass at once, as if it had gone by without a link. A phone's own clock may be set wrong
 * besides, as the hub's may.
 *
 * The hub stands still while time passes and the pages go first: an exchange that is on its way then
 * seems to have taken that long and tells little, but nothing false.
 */
import { closeSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { BrowserContext, Page } from "playwright-core";
import type { HubProcess } from "./start-hub.ts";

export interface MovedTime {
  /** The file for startHubProcess. */
  file: string;
  /** The true UTC of this world, ms. */
  now(): number;
  /** Pages of this context live in this time; `wrongMs`: how far ahead the device's own clock is set. */
  enter(context: BrowserContext, wrongMs?: number): Promise<void>;
  /** Lets time pass until an instant, true UTC ms; it never goes back. A hub that is dead or frozen is left out. */
  passTo(utcMs: number, hub?: HubProcess): Promise<void>;
  /** Removes the file. */
  end(): void;
}

/** Under the real Sun, or not, at the site of the tests, months before its eclipse. */
export const NOON_UTC = "2027-03-01T09:50:00Z";
export const NIGHT_UTC = "2027-03-01T22:00:00Z";

interface ClockWindow extends Window {
  testClock?: { passedMs: number };
}

/** `hubWrongMs`: how far ahead of UTC the hub's machine is set. `rate`: of all clocks against the machine's. */
export interface TimeSetting {
  hubWrongMs?: number;
  rate?: number;
}

/** `beginsUtc`: what time it is now. */
export function movedTime(beginsUtc: string, { hubWrongMs = 0, rate = 1 }: TimeSetting = {}): MovedTime {
  const sinceMs = Date.now();
  const setMs = Date.parse(beginsUtc) - sinceMs;
  const folder = mkdtempSync(join(tmpdir(), "noonfall-time-"));
  const file = join(folder, "clock");
  let passedMs = 0;
  const contexts = new Set<BrowserContext>();
  const tell = (flag: "w" | "r+"): void => {
    const said = Float64Array.of(setMs + hubWrongMs, passedMs, rate, sinceMs);
    const at = openSync(file, flag);
    writeSync(at, new Uint8Array(said.buffer), 0, said.byteLength, 0);
    closeSync(at);
  };
  tell("w");
  const now = () => sinceMs + (Date.now() - sinceMs) * rate + setMs + passedMs;
  /** Pages that are opened later begin with what has passed; the order of such scripts is not defined. */
  const begin = (context: BrowserContext) =>
    context.addInitScript((ms) => {
      const world = window as ClockWindow;
      world.testClock ??= { passedMs: 0 };
      world.testClock.passedMs = Math.max(world.testClock.passedMs, ms);
    }, passedMs);
  return {
    file,
    now,
    async enter(context, wrongMs = 0) {
      contexts.add(context);
      context.once("close", () => contexts.delete(context));
      await context.addInitScript(
        (clock) => {
          const world = window as ClockWindow;
          world.testClock ??= { passedMs: 0 };
          const passed = () => world.testClock?.passedMs ?? 0;
          const wall = Date.now.bind(Date);
          const mono = performance.now.bind(performance);
          const moved = () =>
            Math.floor(clock.sinceMs + (wall() - clock.sinceMs) * clock.rate + clock.setMs + passed());
          Date.now = moved;
          window.Date = new Proxy(Date, {
            construct: (target, args, newTarget) =>
              Reflect.construct(target, args.length === 0 ? [moved()] : args, newTarget),
          });
          Performance.prototype.now = () => mono() * clock.rate + passed();
        },
        { setMs: setMs + wrongMs, sinceMs, rate },
      );
      await begin(context);
    },
    async passTo(utcMs, hub) {
      hub?.freeze();
      try {
        const ms = utcMs - now();
        if (ms < 0) throw new Error(`it is ${(-ms / 1000).toFixed(1)} s later than the test reckoned with`);
        passedMs += ms;
        const pass = (page: Page) =>
          page.evaluate((all) => {
            const clock = (window as ClockWindow).testClock;
            if (clock) clock.passedMs = all;
          }, passedMs);
        await Promise.all([...contexts].flatMap((context) => context.pages().map(pass)));
        tell("r+");
      } finally {
        hub?.thaw();
      }
      await Promise.all([...contexts].map(begin));
    },
    end: () => rmSync(folder, { recursive: true, force: true }),
  };
}
