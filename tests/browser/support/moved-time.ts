/**
 * Time that a test moves: a hub and its pages live through a real run, of an eclipse that is months
 * away, in the seconds that matter of it. Every clock of theirs runs on as the machine's do, and skips
 * what the test lets pass at once: wall, monotonic and uptime clocks alike, as if that time had gone by
 * without a link. A phone's own clock may be set wrong besides, as the hub's may.
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
  /** Lets time pass until an instant, true UTC ms; it never goes back. */
  passTo(utcMs: number, hub: HubProcess): Promise<void>;
  /** Removes the file. */
  end(): void;
}

interface ClockWindow extends Window {
  testClock?: { passedMs: number };
}

/** `beginsUtc`: what time it is now. `hubWrongMs`: how far ahead of it the hub's machine is set. */
export function movedTime(beginsUtc: string, hubWrongMs = 0): MovedTime {
  const setMs = Date.parse(beginsUtc) - Date.now();
  const folder = mkdtempSync(join(tmpdir(), "noonfall-time-"));
  const file = join(folder, "clock");
  let passedMs = 0;
  const contexts: BrowserContext[] = [];
  const tell = (flag: "w" | "r+"): void => {
    const at = openSync(file, flag);
    writeSync(at, new Uint8Array(Float64Array.of(setMs + hubWrongMs, passedMs).buffer), 0, 16, 0);
    closeSync(at);
  };
  tell("w");
  const now = () => Date.now() + setMs + passedMs;
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
      contexts.push(context);
      await context.addInitScript((ms) => {
        const world = window as ClockWindow;
        world.testClock ??= { passedMs: 0 };
        const passed = () => world.testClock?.passedMs ?? 0;
        const wall = Date.now.bind(Date);
        const mono = performance.now.bind(performance);
        const moved = () => wall() + ms + passed();
        Date.now = moved;
        window.Date = new Proxy(Date, {
          construct: (target, args, newTarget) =>
            Reflect.construct(target, args.length === 0 ? [moved()] : args, newTarget),
        });
        Performance.prototype.now = () => mono() + passed();
      }, setMs + wrongMs);
      await begin(context);
    },
    async passTo(utcMs, hub) {
      const ms = utcMs - now();
      if (ms < 0) throw new Error(`it is ${(-ms / 1000).toFixed(1)} s later than the test reckoned with`);
      hub.freeze();
      try {
        passedMs += ms;
        const pass = (page: Page) =>
          page.evaluate((all) => {
            const clock = (window as ClockWindow).testClock;
            if (clock) clock.passedMs = all;
          }, passedMs);
        await Promise.all(contexts.flatMap((context) => [begin(context), ...context.pages().map(pass)]));
        tell("r+");
      } finally {
        hub.thaw();
      }
    },
    end: () => rmSync(folder, { recursive: true, force: true }),
  };
}
