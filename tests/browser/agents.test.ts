/**
 * A lead's console with agents beside two rigs, in practice runs: cameras that write files (the test's own),
 * a small card that fills (a tmpfs: root on Linux), and a mount that stops (an Alpaca server of the test's
 * own, which refuses all but GET).
 */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { type SmallDisk, smallDisk } from "../support/small-disk.ts";
import { step } from "../support/step.ts";
import { until } from "../support/until.ts";
import { openPage, signIn } from "./support/open-page.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const AGENT = fileURLToPath(new URL("../../build/hub/agent.js", import.meta.url));
const LAPTOP = { width: 1366, height: 768 };
const MB = 1e6;
/** Each of the three is before the lead within so long. */
const SEEN_MS = 3000;
const RATE = 8;

let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
let page: Page;
let card: SmallDisk;
let mount: Server;
let tracks = true;
const home = mkdtempSync(join(tmpdir(), "noonfall-agents-"));
const agents: ChildProcess[] = [];
const printed: string[] = [];
const cameras: NodeJS.Timeout[] = [];
/** Frames of all cameras: their numbers go on. */
let written = 0;

beforeAll(async () => {
  [hub, browser] = await Promise.all([startHubProcess(), launchChromium()]);
  await planSite(hub);
  asked = leadCalls(hub);
  card = smallDisk(6000);
  mount = createServer((request, response) => {
    const path = new URL(request.url ?? "", "http://x").pathname;
    if (request.method !== "GET") response.writeHead(405).end();
    else response.end(JSON.stringify({ ErrorNumber: 0, ErrorMessage: "", Value: alpaca(path) }));
  });
  await new Promise<void>((resolve) => mount.listen(0, "127.0.0.1", resolve));
  page = await openPage(browser, `${hub.url}/lead`, {
    viewport: LAPTOP,
    serviceWorkers: "block",
    waitMs: 30_000,
  });
  await signIn(page);
  await page.locator('[data-screen="array"]').waitFor();
});

afterAll(async () => {
  for (const camera of cameras) clearInterval(camera);
  for (const agent of agents) agent.kill("SIGKILL");
  await browser?.close();
  mount?.close();
  mount?.closeAllConnections();
  await hub?.end();
  card?.end();
  rmSync(home, { recursive: true, force: true });
});

function alpaca(path: string): unknown {
  if (path === "/management/v1/configureddevices")
    return [{ DeviceName: "Mount", DeviceType: "Telescope", DeviceNumber: 0 }];
  if (path.endsWith("/connected")) return true;
  return [
    { Name: "Tracking", Value: tracks },
    { Name: "Slewing", Value: false },
    { Name: "AtPark", Value: false },
  ];
}

async function agent(rigId: string, args: readonly string[]): Promise<void> {
  const { url } = await asked.link(rigId);
  const child = spawn(process.execPath, [AGENT, "--join", url, ...args], { cwd: home, stdio: "pipe" });
  child.stdout.on("data", (chunk: Buffer) => printed.push(chunk.toString()));
  child.stderr.on("data", (chunk: Buffer) => printed.push(chunk.toString()));
  agents.push(child);
}

/** A camera that writes frames of this size so often. */
function camera(folder: string, bytes: number, everyMs: number): NodeJS.Timeout {
  const frame = Buffer.alloc(bytes);
  const timer = setInterval(() => writeFileSync(join(folder, `F${++written}.JPG`), frame), everyMs);
  cameras.push(timer);
  return timer;
}

/** When an alert was raised, UTC ms by the hub, which is on this machine. */
async function since(cause: string, rigId: string): Promise<number> {
  const { alerts } = await hub.call("GET", "/api/run", undefined, {
    Authorization: `Bearer ${await hub.leadToken()}`,
  });
  const alert = alerts.find((one: any) => one.cause === cause && one.rigId === rigId);
  if (!alert) throw new Error(`no ${cause} at ${rigId} stands: ${JSON.stringify(alerts)}`);
  return alert.sinceUtcMs;
}

const row = (rig: string) => page.locator(`.row[data-rig="${rig}"]`);

test("the lead sees the full card foretold, the stopped tracking, and the burst that was not written", async () => {
  const frames = join(home, "west");
  await step("agents join, and what they know stands with who said it", async () => {
    mkdirSync(frames);
    const { port } = mount.address() as AddressInfo;
    await asked.practise("C2", -600);
    for (const id of ["west", "south"])
      await asked.say(id, { filter: "on", looked: true, practiceSafe: true, cardFreeGB: 38 });
    await agent("west", ["--watch", frames, "--alpaca", `127.0.0.1:${port}`]);
    await agent("south", ["--watch", card.folder]);
    await page.goto(`${hub.url}/lead#array/south`);
    await page.locator('[data-fact="cardFreeGB"][data-by="instrument"] [data-differs]').waitFor();
    expect(await page.locator('[data-fact="cardFreeGB"]').textContent()).toContain("folder");
  });

  const shots = camera(frames, 1000, 300);
  const filling = step("a card that fills too fast is foretold, with its time", async () => {
    const began = Date.now();
    camera(card.folder, 12 * MB, 1000);
    await row("south")
      .getByText(/card full at \d\d:\d\d, before C[34]/)
      .waitFor();
    // The rate is measured over five seconds.
    expect((await since("card-fills", "south")) - began).toBeLessThan(5000 + SEEN_MS);
    const rig = await asked.rig("south");
    expect(rig.frames).toBeGreaterThan(0);
    expect(rig.from.frames).toMatchObject({ by: "instrument", instrument: "folder" });
  });

  const stopping = step("a mount that stops is told, and is over when it goes on", async () => {
    await until("it tracks", async () => (await asked.rig("west")).tracking === true);
    tracks = false;
    const stopped = Date.now();
    await row("west")
      .getByText(/tracking stopped/)
      .waitFor();
    expect((await since("tracking-stopped", "west")) - stopped).toBeLessThan(SEEN_MS);
    tracks = true;
    await row("west")
      .getByText(/tracking stopped/)
      .waitFor({ state: "detached" });
    clearInterval(shots);
  });
  await Promise.all([filling, stopping]);

  await step("a burst that the camera did not write is told, with since when", async () => {
    const files = readdirSync(frames).length;
    await until("all frames are counted", async () => (await asked.rig("west")).frames === files);
    await asked.endPractice();
    const began = Date.now();
    // The burst before C2 has its window from C2−14 s to C2−2 s.
    await asked.practise("C2", -18, RATE);
    // In totality the page is one sentence and who needs somebody.
    const told = page.getByText(/no new frame since \d\d:\d\d:\d\d/);
    await told.first().waitFor();
    const windowOver = began + 16_000 / RATE;
    expect((await since("no-frames", "west")) - windowOver).toBeLessThan(SEEN_MS);
    camera(frames, 1000, 300);
    await until("it is over", async () => (await told.count()) === 0);
  });
});
