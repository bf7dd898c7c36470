/**
 * Takes the pictures of the README from the demo: `node scripts/pictures.mjs`. Needs a build and
 * Debian's chromium. Practice runs are started at the moments that are to be seen.
 */
import { spawn } from "node:child_process";
import { mkdirSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const root = fileURLToPath(new URL("..", import.meta.url));
const out = join(root, "console/pictures");
const port = 8630;
const base = `http://localhost:${port}`;
const PIN = "314159";
const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };
const LAPTOP = { viewport: { width: 1280, height: 800 } };

mkdirSync(out, { recursive: true });
const hub = spawn(
  process.execPath,
  [
    join(root, "build/hub/main.js"),
    "--demo",
    "--port",
    String(port),
    "--lead-pin",
    PIN,
    "--data",
    mkdtempSync(join(tmpdir(), "noonfall-pictures-")),
  ],
  { stdio: "ignore" },
);
const browser = await chromium.launch({
  executablePath: "/usr/bin/chromium",
  args: [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
  ],
});

async function api(method, path, body, token) {
  const response = await fetch(`${base}${path}`, {
    method,
    headers: {
      "Content-Type": "application/json",
      ...(token ? { Authorization: `Bearer ${token}` } : {}),
    },
    ...(body ? { body: JSON.stringify(body) } : {}),
  });
  const text = await response.text();
  return text ? JSON.parse(text) : undefined;
}

async function up() {
  for (let n = 0; n < 60; n++) {
    try {
      return await api("GET", "/api/health");
    } catch {
      await wait(500);
    }
  }
  throw new Error("the hub did not start");
}

const wait = (ms) => new Promise((done) => setTimeout(done, ms));
const shot = (page, name) => page.screenshot({ path: join(out, `${name}.png`) });

try {
  await up();
  const { token } = await api("POST", "/api/lead/session", { pin: PIN });
  const practise = (anchor, offsetS) => api("POST", "/api/practice", { anchor, offsetS, rate: 1 }, token);
  const { rigs } = await api("GET", "/api/plan", undefined, token);
  const rig = rigs.find(({ kind }) => kind === "tracked-telescope");
  const link = await api("GET", `/api/rigs/${rig.id}/link`, undefined, token);

  // No cue within a minute, so that the phone shows its set-up screen.
  await practise("C2", -290);
  const board = await (await browser.newContext(LAPTOP)).newPage();
  await board.goto(`${base}/board`);
  const lead = await (await browser.newContext(LAPTOP)).newPage();
  await lead.goto(`${base}/lead`);
  await lead.locator("input").first().fill(PIN);
  await lead.keyboard.press("Enter");
  const phone = await (await browser.newContext(PHONE)).newPage();
  await phone.goto(`${base}/rig#${link.url.split("#")[1]}`);
  await wait(8000);
  await shot(board, "board");
  await shot(phone, "rig-set-up");
  await phone.locator('[data-action="arm"] button').first().click();
  await wait(1000);

  await practise("C2", -40);
  await api(
    "POST",
    `/api/rigs/${rig.id}/reports`,
    { id: "safe", atUtcMs: Date.now(), practiceSafe: true },
    link.token,
  );
  await wait(13_000);
  await shot(phone, "rig-count-in");
  await practise("C2", 20);
  await api(
    "POST",
    `/api/rigs/${rig.id}/reports`,
    { id: "safe-2", atUtcMs: Date.now(), practiceSafe: true },
    link.token,
  );
  // After the simulated operator of this rig has said that it is on.
  await wait(9000);
  await api(
    "POST",
    `/api/rigs/${rig.id}/reports`,
    { id: "off", atUtcMs: Date.now(), filter: "off", looked: true, cueDone: "filter-off" },
    link.token,
  );
  await wait(1500);
  await shot(phone, "rig-totality");
  await practise("C3", -12);
  await wait(42_000);
  await shot(lead, "array");
  hub.kill("SIGKILL");
  await wait(9000);
  await shot(phone, "rig-alone");
} finally {
  await browser.close();
  hub.kill("SIGKILL");
}
