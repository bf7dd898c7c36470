/**
 * The evening after, from cards to sidecars: two rigs' folders with cameras whose clocks are wrong (known
 * by photographs, here noted over HTTP), frames with the filter on, a gap, a damaged file. The page puts
 * all in its place, names what was planted, shows a second side by side, and hands out an archive that
 * exiftool reads; the command finds the same in the site's file.
 */
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { unzipSync } from "fflate";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { counterpart } from "../support/counterpart.ts";
import { stampedJpeg } from "../support/stamped-jpeg.ts";
import { until } from "../support/until.ts";
import { type MovedTime, movedTime } from "./support/moved-time.ts";
import { keepErrors, signIn } from "./support/open-page.ts";
import { sidewaysOverflow, violations } from "./support/page-checks.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const AFTER = fileURLToPath(new URL("../../build/hub/after-main.js", import.meta.url));
const AHEAD = { west: 7_203_410, south: -61_000 };

let hub: HubProcess;
let lead: LeadCalls;
let time: MovedTime;
let browser: Browser;
let page: Page;
let c2: number;
const folder = mkdtempSync(join(tmpdir(), "noonfall-images-"));
const wrong: string[] = [];

beforeAll(async () => {
  time = movedTime("2027-08-02T18:00:00Z");
  hub = await startHubProcess([], { clockFile: time.file });
  lead = leadCalls(hub);
  await planSite(hub);
  const { contacts } = await lead.run();
  c2 = Date.parse(contacts.c2.utc);
  for (const rigId of ["west", "south"] as const) {
    const basis = { how: "hand", offsetS: AHEAD[rigId] / 1000, boundS: 0.11, utcMs: c2 };
    await lead.ask("POST", "/api/camera-clocks", { rigId, camera: "A", basis });
    await lead.say(rigId, { filter: "on", atUtcMs: c2 - 3_600_000 });
  }
  await lead.say("west", { filter: "off", atUtcMs: c2 - 18_000 });
  writeCards(Date.parse(contacts.c3.utc));
  browser = await launchChromium();
  const context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
  await time.enter(context);
  page = await context.newPage();
  keepErrors(page, wrong);
  await page.goto(`${hub.url}/lead#images`);
  await signIn(page);
  await page.locator('[data-screen="images"]').waitFor();
});
afterAll(async () => {
  await browser?.close();
  time.end();
  rmSync(folder, { recursive: true, force: true });
  expect(wrong).toEqual([]);
  expect(await hub?.end()).toBe(0);
});

/** West: a burst that stops 4 s before C2 and goes on 9 s after; South: 41 frames in totality. */
function writeCards(c3: number): void {
  const write = (rig: keyof typeof AHEAD, n: number, utcMs: number, level: number) =>
    writeFileSync(
      join(folder, rig, "DCIM", `IMG_${String(n).padStart(4, "0")}.JPG`),
      stampedJpeg(utcMs + AHEAD[rig], level),
    );
  for (const rig of ["west", "south"]) mkdirSync(join(folder, rig, "DCIM"), { recursive: true });
  let n = 0;
  for (let at = c2 - 12_000; at < c2 - 4000; at += 100) write("west", n++, at, 40);
  for (let at = c2 + 9000; at < c3 + 10_000; at += 1000) write("west", n++, at, 60 + (n % 100));
  writeFileSync(join(folder, "west", "DCIM", "IMG_9999.JPG"), stampedJpeg(0).subarray(0, 40));
  writeFileSync(join(folder, "west", "DCIM", "notes.txt"), "not a picture");
  for (let i = 0; i < 41; i++) write("south", i, c2 + 3000 + 1500 * i, 200);
}

async function choose(rig: string): Promise<void> {
  await page.locator('[data-action="images-rig"]').selectOption(rig);
  await page.locator('[data-action="choose-folder"]').setInputFiles(join(folder, rig));
  await page.locator('[data-reading="done"]').waitFor();
  await page.locator(`[data-part="images-picture"] [data-rig="${rig}"]`).waitFor();
}

describe("folders of two rigs", () => {
  test("are read, placed, and what was planted is named", async () => {
    await choose("west");
    await page.locator('[data-part="unread"]', { hasText: "IMG_9999.JPG" }).waitFor();
    await choose("south");
    const finding = (kind: string, rig: string) =>
      page.locator(`[data-finding="${kind}"][data-rig="${rig}"]`).first();
    await finding("filter-on", "south").waitFor();
    expect(await finding("filter-on", "south").textContent()).toBe(
      "41 frames of South telescope in totality with the filter on",
    );
    expect(await finding("gap", "west").textContent()).toBe(
      "West telescope: no frame between C2−4.1 s and C2+9.0 s: buffer full?",
    );
  });

  test("stand in the log with UTC within the bound", async () => {
    const { runId } = await lead.run();
    const { frames } = await lead.ask("GET", `/api/images?run=${runId}`);
    const south = frames.filter(({ rigId }: { rigId: string }) => rigId === "south");
    expect(south).toHaveLength(41);
    for (const [i, { utc, boundS, phase }] of south.entries()) {
      expect(Math.abs(Date.parse(utc) - (c2 + 3000 + 1500 * i))).toBeLessThanOrEqual(boundS * 1000);
      expect(phase).toBe("totality");
    }
  });

  test("show a second side by side, with the pictures from the files", async () => {
    const field = await page.locator(".images-picture__field").boundingBox();
    if (!field) throw new Error("no picture");
    const strip = page.locator('[data-part="second-strip"]');
    await page.locator('[data-action="frame-after"]').click();
    await page.locator('[data-action="frame-after"]').click();
    await until("both rigs show a frame", async () =>
      (
        await strip.locator("li").evaluateAll((items) => items.map((item) => item.getAttribute("data-file")))
      ).every(Boolean),
    );
    await until("the thumbnails are drawn", async () =>
      (
        await strip
          .locator("img")
          .evaluateAll((all) => all.map((one) => (one as HTMLImageElement).naturalWidth))
      ).every((width) => width === 96),
    );
    expect(await strip.locator("img").count()).toBe(2);
    expect(await strip.textContent()).toContain("totality");
    // The hand on the picture moves the moment: to its right end.
    await page.mouse.click(field.x + field.width - 2, field.y + 10);
    await until(
      "the moment is the last",
      async () => (await strip.textContent())?.includes("Nothing within") ?? false,
    );
  });

  test("can be used by everybody and fits", async () => {
    expect(await violations(page)).toEqual([]);
    await page.setViewportSize({ width: 360, height: 640 });
    expect(await sidewaysOverflow(page)).toEqual([]);
    await page.setViewportSize({ width: 1366, height: 768 });
  });
});

describe("taken away", () => {
  test("sidecars come as one archive that exiftool reads", async () => {
    const coming = page.waitForEvent("download");
    await page.locator('[data-action="sidecars-archive"]').click();
    const path = await (await coming).path();
    const files = unzipSync(new Uint8Array(readFileSync(path)));
    const names = Object.keys(files);
    expect(names.filter((name) => name.startsWith("south/"))).toHaveLength(41);
    const one = files["south/south/DCIM/IMG_0000.xmp"];
    if (!one) throw new Error(`not among ${names.slice(0, 3)}`);
    writeFileSync(join(folder, "one.xmp"), one);
    const [said] = JSON.parse(counterpart("exiftool", ["-j", join(folder, "one.xmp")]));
    expect(said).toMatchObject({ Phase: "totality", Filter: "on", RigId: "south" });
    expect(said.Subject).toContain("eclipse 2027-08-02");
  });

  test("the command finds the same in the site's file", async () => {
    const site = join(folder, "field.site");
    const response = await fetch(`${hub.url}/api/site`, {
      headers: { Authorization: `Bearer ${await hub.leadToken()}` },
    });
    writeFileSync(site, new Uint8Array(await response.arrayBuffer()));
    const out = execFileSync(
      process.execPath,
      [AFTER, "--site", site, "--rig", "south", "--json", join(folder, "south")],
      { encoding: "utf8" },
    );
    const rows = out
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line));
    const { runId } = await lead.run();
    const { frames } = await lead.ask("GET", `/api/images?run=${runId}`);
    const here = frames.filter(({ rigId }: { rigId: string }) => rigId === "south");
    expect(rows.map(({ utc, phase, filter }) => [utc, phase, filter])).toEqual(
      here.map(({ utc, phase, filter }: Record<string, unknown>) => [utc, phase, filter]),
    );
  });
});
