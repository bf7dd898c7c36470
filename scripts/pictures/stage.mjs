/**
 * What pictures are taken with: hubs on folders of their own, Chromium, a signed-in lead.
 *
 * @typedef {object} Hub
 * @property {string} base its address
 * @property {string} token the lead's
 * @property {(method: string, path: string, body?: unknown, token?: string, headers?: object) => Promise<any>} api
 * @property {() => Promise<void>} end
 *
 * @typedef {object} Stage
 * @property {import("playwright-core").Browser} browser
 * @property {(...args: string[]) => Promise<Hub>} hub
 * @property {(base: string, size: object) => Promise<import("playwright-core").Page>} lead
 * @property {(what: {screenshot: Function}, name: string, options?: object) => Promise<unknown>} shot
 * @property {(page: import("playwright-core").Page, selector: string, name: string) => Promise<void>} part one
 *   part of a page alone
 */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { freePort } from "../setup/free-port.mjs";
import { launchChromium } from "../setup/launch-chromium.mjs";

const root = fileURLToPath(new URL("../..", import.meta.url));
const out = join(root, "console/pictures");
const PIN = "314159";

/** A part's height in its picture at most. */
const PART_MOST = 900;

const shot = (what, name, options) => what.screenshot({ path: join(out, `${name}.png`), ...options });

export const wait = (ms) => new Promise((done) => setTimeout(done, ms));

/** Runs `take` with a stage, and clears it away whatever happens. @param {(stage: Stage) => Promise<void>} take */
export async function onStage(take) {
  mkdirSync(out, { recursive: true });
  const ends = [];
  const browser = await launchChromium();
  try {
    await take({
      browser,
      hub: async (...args) => {
        const hub = await startHub(args);
        ends.push(hub.end);
        return hub;
      },
      lead: async (base, size) => {
        const page = await (await browser.newContext(size)).newPage();
        await page.goto(`${base}/lead`);
        await page.locator('input[name="pin"]').fill(PIN);
        await page.keyboard.press("Enter");
        await page.locator("[data-page=lead]").waitFor();
        return page;
      },
      shot,
      part: async (page, selector, name) => {
        const size = page.viewportSize();
        // So high that nothing lies over it.
        await page.setViewportSize({ ...size, height: 6000 });
        const box = await page.locator(selector).first().boundingBox();
        await shot(page, name, { clip: { ...box, height: Math.min(box.height, PART_MOST) } });
        await page.setViewportSize(size);
      },
    });
  } finally {
    await browser.close();
    for (const end of ends) await end();
  }
}

/** @param {string[]} args @returns {Promise<Hub>} */
async function startHub(args) {
  const data = mkdtempSync(join(tmpdir(), "noonfall-pictures-"));
  const port = await freePort();
  const base = `http://localhost:${port}`;
  const main = join(root, "build/hub/main.js");
  const own = ["--port", String(port), "--lead-pin", PIN, "--data", data];
  const child = spawn(process.execPath, [main, ...own, ...args], { stdio: "ignore" });
  const end = async () => {
    if (child.exitCode === null && child.signalCode === null) {
      child.kill("SIGKILL");
      await once(child, "exit");
    }
    rmSync(data, { recursive: true, force: true });
  };
  const api = async (method, path, body, token, headers = {}) => {
    const response = await fetch(`${base}${path}`, {
      method,
      headers: {
        "Content-Type": "application/json",
        ...(token && { Authorization: `Bearer ${token}` }),
        ...headers,
      },
      ...(body && { body: JSON.stringify(body) }),
    });
    const text = await response.text();
    if (!response.ok) throw new Error(`${method} ${path}: ${text}`);
    return text ? JSON.parse(text) : undefined;
  };
  for (let n = 0; ; n++) {
    try {
      await api("GET", "/api/health");
      break;
    } catch (error) {
      if (n === 120) throw error;
      await wait(500);
    }
  }
  const { token } = await api("POST", "/api/lead/session", { pin: PIN });
  return { base, token, api, end };
}
