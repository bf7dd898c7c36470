/** The Chromium that browser tests run in: a fresh profile, quiet, nothing fetched by itself. */
import { type Browser, chromium, type LaunchOptions } from "playwright-core";
import { CHROMIUM_FLAGS } from "../../scripts/setup/chromium.mjs";

/**
 * Of a command line's lists of features the last one holds: Playwright's own (1.65.1), and the pages
 * of Chromium's own surface, and processes in reserve, that it would start beside each window. They took
 * half of the processor's time of a launch and of each context.
 */
const OFF = [
  "AvoidUnnecessaryBeforeUnloadCheckSync,DestroyProfileOnBrowserClose,HttpsUpgrades",
  "HttpsFirstBalancedModeAutoEnable,LensOverlay,MediaRouter,PaintHolding,ThirdPartyStoragePartitioning",
  "AvoidCorsURLLoaderRestartOnRedirect,TcpPortRandomizationWin,OptimizationHints",
  "NetworkTimeServiceQuerying,AimEnabled,PreconnectToSearch",
  "WebUIOmniboxPopup,WebUIOmniboxFullPopup,WebUIOmniboxAimPopup",
  "InitialWebUI,WebUIReloadButton,WebUIToolbar,PreloadTopChromeWebUI,SpareRendererForSitePerProcess",
];

export const FLAGS = [
  `--disable-features=${OFF.join(",")}`,
  ...CHROMIUM_FLAGS,
  "--autoplay-policy=user-gesture-required",
];

/** Throws when no Chromium was found (scripts/setup/chromium.mjs tells what to install). */
export function launchChromium(options: LaunchOptions = {}): Promise<Browser> {
  return chromium.launch({
    ...options,
    executablePath: chromiumPath(),
    headless: true,
    args: [...FLAGS, ...(options.args ?? [])],
  });
}

export function chromiumPath(): string {
  const path = process.env.NOONFALL_CHROMIUM;
  if (!path) throw new Error("no Chromium: set NOONFALL_CHROMIUM to its file, or install it");
  return path;
}
