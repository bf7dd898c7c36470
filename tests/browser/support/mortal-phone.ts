/**
 * A phone whose browser can be killed at any instant, as a phone does with a page when memory runs
 * short or the battery falls out, and opened again with the same profile. It trusts one hub, as
 * trusting-chromium.ts has it.
 */
import { mkdtempSync, readlinkSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type BrowserContext, chromium, type Page } from "playwright-core";
import { chromiumPath, FLAGS } from "../../support/chromium.ts";
import { keyHash } from "../../support/trusting-chromium.ts";

export interface MortalPhone {
  /** Opens an address in a tab of its own; `prepare` is given the tab before it goes there. */
  open(url: string, prepare?: (page: Page) => Promise<void>): Promise<Page>;
  /** SIGKILL to the browser's own process, at once; resolves when it is gone. The profile stays. */
  kill(): Promise<void>;
  /** Starts the browser again with the same profile. */
  startAgain(): Promise<void>;
  /** Ends the browser and removes the profile. */
  end(): Promise<void>;
}

/**
 * `root`: the root certificate (DER) that this phone trusts. `prepare` is given every start's context
 * before anything is opened in it.
 */
export async function openMortalPhone(
  root: Buffer,
  prepare: (context: BrowserContext) => Promise<void> = async () => undefined,
): Promise<MortalPhone> {
  const profile = mkdtempSync(join(tmpdir(), "noonfall-mortal-"));
  let context: BrowserContext;
  let gone: Promise<unknown>;

  const start = async (): Promise<void> => {
    context = await chromium.launchPersistentContext(profile, {
      executablePath: chromiumPath(),
      headless: true,
      viewport: { width: 390, height: 844 },
      args: [...FLAGS, `--ignore-certificate-errors-spki-list=${keyHash(root)}`],
    });
    gone = new Promise((resolve) => context.once("close", resolve));
    await prepare(context);
  };
  await start();
  return {
    async open(url, prepare) {
      const page = await context.newPage();
      await prepare?.(page);
      await page.goto(url);
      return page;
    },
    async kill() {
      process.kill(browserPid(profile), "SIGKILL");
      await gone;
    },
    startAgain: start,
    async end() {
      await context.close();
      rmSync(profile, { recursive: true, force: true });
    },
  };
}

/** A profile in use is locked by a link that names machine and process: "host-1234". */
function browserPid(profile: string): number {
  const pid = Number(/-(\d+)$/.exec(readlinkSync(join(profile, "SingletonLock")))?.[1]);
  if (!Number.isSafeInteger(pid) || pid <= 1) throw new Error("the browser's process is not known");
  return pid;
}
