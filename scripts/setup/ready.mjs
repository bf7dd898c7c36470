/** Installs and builds what is missing; nothing is written when all is fresh. */
import { join } from "node:path";
import { ensureBuilt, isBuilt } from "./build.mjs";
import { ensureInstalled, isInstalled } from "./install.mjs";
import { inTurn } from "./turn.mjs";

/**
 * @param {string} root the project's folder @param {{dev: boolean}} options dev: with what tests need
 * @returns {Promise<string | undefined>} what went wrong, in words for the person
 */
export async function makeReady(root, options) {
  if (isInstalled(root, options.dev) && isBuilt(root)) return undefined;
  return inTurn(join(root, "build", "setup.pid"), async () => {
    const installed = await ensureInstalled(root, options);
    if (!installed.ok) return installed.message;
    const built = await ensureBuilt(root);
    return built.ok ? undefined : built.message;
  });
}
