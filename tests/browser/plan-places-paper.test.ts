/**
 * A lead compares places and moves the plan there and back, draws the field, names work for two, looks
 * at a frame, and prints: the sheets are made into PDF by Chromium and read back by pdftotext (Poppler).
 */
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { prepareZXingModule, readBarcodes } from "zxing-wasm/reader";
import { launchChromium } from "../support/chromium.ts";
import { counterpart } from "../support/counterpart.ts";
import { openLead, openPage } from "./support/open-page.ts";
import { inTheWay, sidewaysOverflow, violations } from "./support/page-checks.ts";
import { type LeadCalls, leadCalls, planSite, telescope } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const LAPTOP = { width: 1366, height: 768 };

let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
let lead: Page;
let folder: string;
const wrong: string[] = [];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-paper-"));
  hub = await startHubProcess();
  asked = leadCalls(hub);
  await planSite(hub, {}, [telescope("west", "Ann"), telescope("south", "Ann"), telescope("east", "Ben")]);
  browser = await launchChromium();
  lead = await openLead(browser, hub, wrong);
});

afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
  expect(await hub?.end()).toBe(0);
  expect(wrong).toEqual([]);
});

const go = (screen: string) => lead.goto(`${hub.url}/lead#${screen}`);

/** For everybody, on a phone and on a wall, in both palettes. */
async function expectUsable(): Promise<void> {
  expect(await inTheWay(lead, { width: 360, height: 640 })).toEqual([]);
}

describe("where to stand, when to leave", () => {
  const card = (id: string) => lead.locator(`[data-candidate="${id}"]`);

  test("places stand side by side, each with its latest departure", async () => {
    await go("site");
    const keep = lead.locator('[data-action="keep-candidate"]');
    await keep.click();
    await card("palm-field").and(lead.locator('[data-here="true"]')).waitFor();
    await lead.locator('input[name="name"]').fill("South quarry");
    await lead.locator('input[name="lat"]').fill("20");
    await keep.click();
    await card("south-quarry").and(lead.locator('[data-here="false"]')).waitFor();
    expect(await card("south-quarry").locator("[data-kind]").getAttribute("data-kind")).toBe("partial");

    await card("palm-field").locator('input[name="driveMin"]').fill("100");
    await card("palm-field").locator('input[name="driveMin"]').press("Enter");
    const leave = card("palm-field").locator("[data-leave]");
    await leave.waitFor();
    const { contacts } = await asked.run();
    // 100 min of driving, 90 of set-up and 30 of margin as they are at first (arithmetic).
    const ms = Number(await leave.getAttribute("data-leave"));
    expect(Math.abs(ms - (contacts.c2.utcMs ?? contacts.c2) + 220 * 60_000)).toBeLessThan(1001);
    // UTC and local time, both named: Egypt is at UTC+3 in August (IANA, Africa/Cairo).
    const text = (await leave.textContent()) ?? "";
    const at = new Date(ms).toISOString().slice(11, 19);
    expect(text).toContain(`${at} UTC`);
    expect(text).toContain("UTC+3");
    await expectUsable();
  });

  test("one tap moves the plan and says what became of each rig; another goes back", async () => {
    const before = await asked.ask("GET", "/api/plan");
    await card("south-quarry").locator('[data-action="move-plan"]').click();
    await lead.locator('[data-moved="South quarry"]').waitFor();
    for (const id of ["west", "south", "east"])
      expect(await lead.locator(`[data-moved-rig="${id}"]`).textContent()).toContain("filter stays on here");
    const there = await asked.ask("GET", "/api/plan");
    expect(there.site).toMatchObject({ name: "South quarry", latDeg: 20, confirmed: false });
    await lead.locator('[data-says="unconfirmed"]').waitFor();
    expect(JSON.stringify(there.rigs)).not.toContain('"filter-off"');
    await expect.poll(() => lead.locator('input[name="name"]').inputValue()).toBe("South quarry");

    await lead.locator('[data-action="move-back"]').click();
    await lead.locator('[data-moved="Palm Field"]').waitFor();
    await lead.locator('[data-says="unconfirmed"]').waitFor({ state: "detached" });
    const after = await asked.ask("GET", "/api/plan");
    expect({ ...after, revision: 0 }).toEqual({ ...before, revision: 0 });
  });
});

describe("the field and the hands on it", () => {
  test("rigs are placed by pointer and arrow keys, and the walk is told", async () => {
    await go("rigs");
    const mark = (id: string) => lead.locator(`[data-field-rig="${id}"]`);
    for (let left = 3; left > 0; left--) {
      await lead.locator(`[data-unplaced="${left}"] [data-action="place-rig"]`).first().click();
    }
    const east = Number(await mark("west").getAttribute("data-east"));
    // Once more where what stands above it was still coming: the mark then lay elsewhere, or out of sight.
    const pulled = async () => {
      await mark("west").evaluate((element) => element.scrollIntoView({ block: "center" }));
      const box = await mark("west").locator("circle").last().boundingBox();
      if (!box) throw new Error("the mark is not drawn");
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      await lead.mouse.move(x, y);
      await lead.mouse.down();
      await lead.mouse.move(x - 30, y - 30, { steps: 3 });
      await lead.mouse.up();
      return Number(await mark("west").getAttribute("data-east"));
    };
    await expect.poll(pulled, { interval: 1000 }).toBeLessThan(east);
    await mark("south").focus();
    const north = Number(await mark("south").getAttribute("data-north"));
    await lead.keyboard.press("ArrowUp");
    await lead.keyboard.press("Shift+ArrowUp");
    expect(Number(await mark("south").getAttribute("data-north"))).toBe(north + 6);
    await lead.locator('[data-walk="west south"]').waitFor();
    expect(await lead.locator('[data-walk="west east"]').count()).toBe(0);
    await lead.locator('[data-action="save-field"]').click();
    await lead.locator('[data-part="field"][data-edited="false"]').waitFor();
    const { rigs } = await asked.ask("GET", "/api/plan");
    const spots = Object.fromEntries(rigs.map((rig: { id: string; spot: object }) => [rig.id, rig.spot]));
    expect(spots.south).toMatchObject({ northM: north + 6 });
    // 1.2 m/s and 2 s to turn to it (the product's own figures, common practice, no source).
    const way = Math.hypot(spots.west.eastM - spots.south.eastM, spots.west.northM - spots.south.northM);
    expect(await lead.locator('[data-walk="west south"]').textContent()).toBe(
      `${Math.round(2 + way / 1.2)} s`,
    );
  });

  test("work for two is named, and the order says who helps", async () => {
    const ann = lead.locator('[data-hands="Ann"]');
    await ann.locator('[data-action="helpers"]').click();
    await ann.locator('select[name="helper-cue"]').selectOption("west/filter-off");
    await ann.locator('input[name="two-people"]').check();
    await ann.locator('input[name="tool"]').fill("Hex key");
    await ann.locator('[data-action="save-helpers"]').click();
    await ann.locator('[data-bound="west/filter-off"]').waitFor();
    const helped = lead.locator('[data-hands="Ben"] [data-task="west/filter-off"]');
    await expect.poll(() => helped.textContent()).toContain("with Ann");
    await expectUsable();
    // In its sentence, and on the phone that is told to do it.
    await asked.practise("C2", -28);
    const phone = await openPage(browser, (await asked.link("west")).url, {
      viewport: { width: 360, height: 640 },
      waitMs: 30_000,
      wrong,
    });
    const told = phone.locator('[data-instruction][data-cue="filter-off"] [data-settings]');
    await expect.poll(() => told.textContent()).toBe("two people · tool: Hex key");
    expect(await violations(phone)).toEqual([]);
    await phone.context().close();
    await asked.endPractice();
    await go("rigs/west");
    const sentence = lead.locator('[data-cue="filter-off"] [data-action="open-cue"]');
    await expect.poll(() => sentence.textContent()).toContain("two people · tool: Hex key");
  });

  test("a frame has what stands around the Sun in it, turned as the mount turns it", async () => {
    await go("rigs/east");
    await lead.locator('[data-action="equipment"]').click();
    await lead.locator('input[name="focalLength"]').fill("100");
    await lead.locator('[data-part="equipment"] select[name="format"]').selectOption("36x24");
    await lead.locator('[data-body="Venus"]').waitFor();
    // On a level tripod the sky's north leans; on an equatorial mount it is on top.
    expect(await lead.locator("[data-north]").first().getAttribute("data-north")).not.toBe("0");
    await lead.locator("[data-stand]").waitFor();
    await lead.locator('[data-part="equipment"] select[name="mount"]').selectOption("equatorial");
    await expect.poll(() => lead.locator("[data-north]").first().getAttribute("data-north")).toBe("0");
    expect(await lead.locator("[data-stand]").count()).toBe(0);
    expect(await violations(lead)).toEqual([]);
  });
});

describe("paper", () => {
  /** The text of each page, in the order of its lines. */
  async function printed(kind: string): Promise<string[]> {
    await go(`cue-sheets/${kind}`);
    await lead.locator(`[data-sheets="${kind}"][data-waiting="false"]`).waitFor();
    const path = join(folder, `${kind}.pdf`);
    await lead.pdf({ path, format: "A4" });
    const text = counterpart("pdftotext", [path, "-"]);
    const pages = text.split("\f").map((page) => page.replace(/\s+/g, " ").trim());
    return pages.filter((page) => page !== "");
  }
  const stamp = async () => `Plan no. ${(await asked.ask("GET", "/api/plan")).revision}`;

  test("a sheet a rig stands on one page each, with plan, place, cautions, UTC and local time", async () => {
    const pages = await printed("rigs");
    expect(pages).toHaveLength(3);
    for (const page of pages) {
      expect(page).toContain(await stamp());
      expect(page).toContain("Only at Palm Field");
      expect(page).toContain("24.6200° N 32.6000° E");
      expect(page).toContain("UTC+3");
      expect(page).toContain("Take the filter off.");
      expect(page).toContain("Cover every lens");
    }
    expect(pages[0]).toContain("Hex key");
    // What is pressed is not printed.
    expect(pages.join("")).not.toContain("A sheet a person");
  });

  test("a sheet a person has all their rigs in the order of their hands, and every page its stamp", async () => {
    const pages = await printed("people");
    for (const page of pages.filter((one) => one.includes("Done"))) expect(page).toContain(await stamp());
    const [first = ""] = pages;
    expect(first).toContain("Ann");
    // Two full lists and the drawing of the hands: one page a person.
    expect(pages.map((page) => page.slice(0, 3))).toEqual(["Ann", "Ben"]);
    expect(first).toContain("Around C3");
    const check = await asked.ask("POST", "/api/plan/check", await asked.ask("GET", "/api/plan"));
    const { order } = check.hands.find(({ operator }: { operator: string }) => operator === "Ann");
    const cues = order.filter(({ anchor }: { anchor: string }) => anchor === "C2");
    expect(cues.length).toBeGreaterThan(4);
    const { contacts } = await asked.run();
    const c2 = contacts.c2.utcMs ?? contacts.c2;
    let last = 0;
    for (const { rigId, cueId, startS } of cues) {
      if (cueId !== "filter-off") continue;
      const time = new Date(Math.floor((c2 + startS * 1000) / 1000) * 1000).toISOString().slice(11, 19);
      const place = pages.join(" ").search(new RegExp(`${time} [^☐]*Take the filter off`));
      expect(place, `${rigId} at ${time}`).toBeGreaterThan(last);
      last = place;
    }
    const ben = pages.find((page) => page.startsWith("Ben ")) ?? "";
    expect(ben).toContain("Help: Take the filter off.");
    await lead.setViewportSize({ width: 360, height: 640 });
    expect(await violations(lead)).toEqual([]);
    expect(await sidewaysOverflow(lead)).toEqual([]);
    await lead.setViewportSize(LAPTOP);
  });

  test("the plan for the wall is one page: every contact, every rig, who and when", async () => {
    const pages = await printed("wall");
    expect(pages).toHaveLength(1);
    const [page = ""] = pages;
    expect(page).toContain(await stamp());
    for (const words of ["C1", "C2", "maximum", "C3", "C4", "West telescope", "Ann", "Ben"])
      expect(page).toContain(words);
    expect(await violations(lead)).toEqual([]);
    await lead.setViewportSize({ width: 360, height: 640 });
    expect(await sidewaysOverflow(lead)).toEqual([]);
    await lead.setViewportSize(LAPTOP);
  });
});

describe("the poster", () => {
  /** What a phone that scans a printed page reads (ZXing, which shares nothing with the writer of the codes). */
  async function scanned(pdf: string): Promise<string[]> {
    const picture = join(folder, "poster");
    counterpart("pdftoppm", ["-png", "-r", "100", "-singlefile", pdf, picture]);
    const wasm = readFileSync(fileURLToPath(import.meta.resolve("zxing-wasm/reader/zxing_reader.wasm")));
    prepareZXingModule({ overrides: { wasmBinary: new Uint8Array(wasm).buffer } });
    const found = await readBarcodes(new Uint8Array(readFileSync(`${picture}.png`)), {
      formats: ["QRCode"],
    });
    return found.filter(({ isValid }) => isValid).map(({ text }) => text);
  }

  test("is one page with rule and cautions, its code leads to the public board with its key, and nothing of the hub's own is on it", async () => {
    await go("crowd");
    await lead.locator('[data-poster$="/board#"], [data-poster*="#key="]').waitFor();
    // This hub answers on loopback alone: no phone would reach what the code says.
    expect(await lead.locator('[data-poster-trouble="own machine"]').count()).toBe(1);
    await lead.locator('input[type="url"]').fill("https://Board.Example.org/");
    const keep = lead.locator('form button[type="submit"]').first();
    await lead.locator("textarea").fill("https://club.example.org *");
    await keep.click();
    await lead.getByRole("alert").getByText("embed.1").waitFor();
    await lead.locator("textarea").fill("https://Club.example.org/");
    await keep.click();
    const { key } = await asked.ask("GET", "/api/board");
    const address = `https://board.example.org/board#key=${key}`;
    await lead.locator(`[data-poster="${address}"]`).waitFor();
    expect(await lead.locator('[data-poster-trouble="own machine"]').count()).toBe(0);
    expect(await lead.locator("form code").textContent()).toBe(`<iframe src="${address}"></iframe>`);
    expect(await asked.ask("GET", "/api/crowd")).toMatchObject({ embed: ["https://club.example.org"] });
    for (const format of ["A4", "Letter"]) {
      const pdf = join(folder, `poster-${format}.pdf`);
      await lead.pdf({ path: pdf, format });
      expect(counterpart("pdfinfo", [pdf])).toMatch(/Pages:\s+1\n/);
      const text = counterpart("pdftotext", [pdf, "-"]).replace(/\s+/g, " ");
      for (const said of [
        "Glasses stay on until totality is called out.",
        "Never glasses with optics",
        "Children look only with an adult",
        "Look down before you change glasses",
        "Use a pinhole",
        "Local rules",
        address,
      ])
        expect(text).toContain(said);
      expect(text).not.toMatch(/127\.0\.0\.1|localhost|192\.168|marshal|token/i);
      expect(await scanned(pdf)).toEqual([address]);
    }
    await asked.ask("PUT", "/api/crowd", { embed: [], address: null });
  });
});
