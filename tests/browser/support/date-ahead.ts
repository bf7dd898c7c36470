/**
 * Hub and pages at another date than the machine's, for what only the real eclipse shows. The
 * hub's process finds its own `Date` ahead and a system that calls itself synchronised (a `chronyc`
 * of the test's own, in the form of its `-c` output); a page finds its `Date` ahead as well, since
 * the hub takes the phones' own clocks for witnesses. Monotonic clocks are left alone.
 */
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import type { BrowserContext } from "playwright-core";

/** Runs in a page and in Node. */
function putDateAhead(byMs: number): void {
  const Plain = Date;
  class Ahead extends Plain {
    constructor(...given: []) {
      if (given.length > 0) super(...given);
      else super(Plain.now() + byMs);
    }
    static override now(): number {
      return Plain.now() + byMs;
    }
  }
  globalThis.Date = Ahead as DateConstructor;
}

export interface DateAhead {
  /** Hub processes that are started from now on are so far ahead, ms. */
  ahead(byMs: number): void;
  /** The environment of this test as it was. */
  end(): void;
}

export function putHubsAhead(): DateAhead {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-time-"));
  // Stratum 2, 10 µs off, root delay and dispersion 1 ms.
  const tracking = "7F7F0101,192.0.2.1,2,0.0,0.00001,0.00001,0.00001,0.0,0.0,0.0,0.001,0.001,64.0,Normal";
  writeFileSync(join(folder, "chronyc"), `#!/bin/sh\necho ${tracking}\n`);
  chmodSync(join(folder, "chronyc"), 0o755);
  const { PATH, NODE_OPTIONS } = process.env;
  process.env.PATH = `${folder}${delimiter}${PATH ?? ""}`;
  return {
    ahead(byMs) {
      const file = join(folder, "ahead.mjs");
      writeFileSync(file, `(${putDateAhead})(${byMs});\n`);
      process.env.NODE_OPTIONS = `--import=file://${file}`;
    },
    end() {
      process.env.PATH = PATH;
      if (NODE_OPTIONS === undefined) delete process.env.NODE_OPTIONS;
      else process.env.NODE_OPTIONS = NODE_OPTIONS;
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Pages that this context loads from now on are ahead by so much more than before, ms. */
export async function pagesAhead(context: BrowserContext, byMs: number): Promise<void> {
  await context.addInitScript(putDateAhead, byMs);
}
