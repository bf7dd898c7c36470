/**
 * A lead plans more than one person can do, is told so before the day, takes what is offered, and is
 * told that it can be done; and takes it back again.
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { counterpart } from "../support/counterpart.ts";
import { openPage, signIn } from "./support/open-page.ts";
import { inTheWay, sidewaysOverflow, violations } from "./support/page-checks.ts";
import { type LeadCalls, leadCalls, telescope } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const FOUR = ["west-telescope", "west-telescope-2", "west-telescope-3", "north-telescope"];

interface Ordered {
  rigId: string;
  cueId: string;
  startS: number;
  anchor: string;
}

/** A binary PGM picture (Netpbm): how many dots of it are dark, so many dots from its edges inwards. */
function readPicture(bytes: Buffer) {
  const head = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(bytes.subarray(0, 64).toString("latin1"));
  if (!head) throw new Error("not a picture of 256 greys");
  const [width, height] = [Number(head[1]), Number(head[2])];
  const dots = bytes.subarray(head[0].length);
  const inkWithin = (margin: number) => {
    let dark = 0;
    for (let y = margin; y < height - margin; y++)
      for (let x = margin; x < width - margin; x++) if ((dots[y * width + x] ?? 255) < 128) dark++;
    return dark;
  };
  return { width, height, inkWithin };
}

let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
let lead: Page;
let folder: string;
const wrong: string[] = [];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-hands-"));
  hub = await startHubProcess();
  asked = leadCalls(hub);
  browser = await launchChromium();
  lead = await openPage(browser, `${hub.url}/lead`, {
    viewport: { width: 1366, height: 768 },
    reducedMotion: "reduce",
    serviceWorkers: "block",
    waitMs: 20_000,
    wrong,
  });
  await signIn(lead);
});

afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
  expect(await hub?.end()).toBe(0);
  expect(wrong).toEqual([]);
});

const hands = (operator: string) => lead.locator(`[data-hands="${operator}"]`);

const shownRevision = async () =>
  Number(await lead.locator('[data-part="hands"]').getAttribute("data-revision"));

/** One mend for each stretch of time in which hands are too few; it is saved rig by rig. */
async function takeMends(): Promise<number> {
  let taken = 0;
  for (; (await hands("Ann").getAttribute("data-feasible")) === "false"; taken++) {
    expect(taken).toBeLessThan(5);
    const { revision } = await asked.ask("GET", "/api/plan");
    await hands("Ann")
      .locator('[data-mend]:not([data-mend="hand-over"]) [data-action="take-mend"]')
      .first()
      .click();
    await lead.locator('[data-part="hands"][data-saving="false"] [data-undo="mend"]').waitFor();
    await expect.poll(() => shownRevision()).toBeGreaterThan(revision);
    await lead.locator('[data-part="hands"][data-saving="false"][data-waiting="false"]').waitFor();
  }
  return taken;
}

describe("four rigs and one person", () => {
  test("are planned from nothing: eclipse, place, one rig, and three like it", async () => {
    const fill = (name: string, text: string) => lead.locator(`input[name="${name}"]`).fill(text);
    await lead.locator('[data-eclipse="2027-08-02"] input').check();
    await fill("name", "Palm Field");
    await fill("lat", "24.62");
    await fill("lon", "32.60");
    await fill("height", "110");
    await lead.locator('[data-action="use-place"]').click();
    await lead.locator('[data-rig-editor="new"]').waitFor();
    await fill("name", "West telescope");
    await fill("operator", "Ann");
    await fill("focalLength", "480");
    await lead.locator('[data-action="equipment"]').click();
    await lead.locator('[data-action="usual-equipment"]').click();
    await lead.locator('[data-action="save-rig"]').click();
    await lead.locator('[data-rig-editor="west-telescope"] [data-saved]').waitFor();
    // An own word in its list, so that it is seen that the list goes along.
    await lead.locator('[data-cue="focus-card-battery"] [data-action="open-cue"]').click();
    await fill("say", "Card, battery, dew.");
    await lead.locator('[data-action="save-rig"]').click();
    await lead.locator("[data-saved]").waitFor();
    for (const [id, name] of [
      ["west-telescope-2", "West telescope 2"],
      ["west-telescope-3", "West telescope 3"],
      ["north-telescope", null],
    ] as const) {
      await lead.locator('[data-action="another-rig"]').click();
      await lead.locator('[data-rig-editor="new"]').waitFor();
      if (name === null) await fill("name", "North telescope");
      else expect(await lead.locator('input[name="name"]').inputValue()).toBe(name);
      await lead.locator('[data-action="save-rig"]').click();
      await lead.locator(`[data-rig-editor="${id}"] [data-saved]`).waitFor();
    }
    const { rigs } = await asked.ask("GET", "/api/plan");
    expect(rigs.map(({ id }: { id: string }) => id)).toEqual(FOUR);
    const [west, ...others] = rigs;
    const said = west.cues.map(({ say }: { say: string | null }) => say);
    expect(said).toContain("Card, battery, dew.");
    for (const rig of others) {
      expect(rig).toMatchObject({ operator: "Ann", focalLengthMm: 480, equipment: west.equipment });
      expect(rig.cues.map(({ say }: { say: string | null }) => say)).toEqual(said);
    }
    await lead.locator('[data-action="go-rigs"]').click();
  });

  test("the lead is told that it cannot be done, and what is left undone", async () => {
    await hands("Ann").and(lead.locator('[data-feasible="false"]')).waitFor();
    expect(await hands("Ann").locator('[data-says="not"]').textContent()).toContain("cannot all be done");
    // The order is drawn around both ends of totality, every rig in it.
    for (const contact of ["C2", "C3"])
      for (const id of FOUR)
        expect(
          await hands("Ann").locator(`[data-strip="${contact}"] [data-task^="${id}/"]`).count(),
        ).toBeGreaterThan(0);
    // Four filters go on from C3−15 s and by C3+15 s (S4), 8 s each and 5 s of walking: two are on at C3+6 s,
    // a third not before C3+19 s (arithmetic). That is a danger, and said as one.
    expect(await lead.locator('[data-task$="/filter-on"][data-undone="true"]').count()).toBe(2);
    await hands("Ann").locator('.alert-line[data-priority="danger"]').waitFor();
  });

  test("can be read and reached by everybody, from phone to big screen", async () => {
    expect(await inTheWay(lead, { width: 360, height: 667 })).toEqual([]);
  });

  test("an offered mend is one tap: then it can be done, and it can be undone", async () => {
    const taken = await takeMends();
    expect(taken).toBeGreaterThan(0);
    await hands("Ann").and(lead.locator('[data-feasible="true"]')).waitFor();
    expect(await hands("Ann").locator('[data-says="feasible"]').textContent()).toContain("It can be done");
    const mended = await asked.ask("GET", "/api/plan");
    const check = await asked.ask("POST", "/api/plan/check", mended);
    expect(check.hands.map((one: { feasible: boolean }) => one.feasible)).toEqual([true]);
    expect(check.findings.filter((one: { severity: string }) => one.severity === "refused")).toEqual([]);

    await lead.locator('[data-action="undo-mend"]').click();
    await hands("Ann").and(lead.locator('[data-feasible="false"]')).waitFor();
    expect(await takeMends()).toBeGreaterThan(0);
    await hands("Ann").and(lead.locator('[data-feasible="true"]')).waitFor();
  });

  test("the sheets print: every page full and within its margins, the order of hands on it", async () => {
    await lead.goto(`${hub.url}/lead#cue-sheets/people`);
    await lead.locator('[data-sheets="people"][data-waiting="false"]').waitFor();
    const pdf = join(folder, "people.pdf");
    await lead.pdf({ path: pdf, format: "A4" });
    const { hands: all } = await asked.ask("POST", "/api/plan/check", await asked.ask("GET", "/api/plan"));
    const text = counterpart("pdftotext", ["-layout", pdf, "-"]).replace(/\s+/g, " ");
    expect(text).toContain("Ann");
    expect(text).toContain("Only at Palm Field");
    const { contacts } = await asked.run();
    const c3 = contacts.c3.utcMs ?? contacts.c3;
    for (const { rigId, cueId, startS, anchor } of all[0].order as Ordered[]) {
      if (cueId !== "filter-on" || anchor !== "C3") continue;
      // Sheets give whole seconds, rounded down.
      const at = new Date(Math.floor((c3 + startS * 1000) / 1000) * 1000).toISOString().slice(11, 19);
      expect(text, `${rigId} at ${at}`).toContain(at);
    }
    counterpart("pdftoppm", ["-gray", "-r", "50", pdf, join(folder, "people")]);
    const pictures = readdirSync(folder).filter((name) => name.endsWith(".pgm"));
    expect(pictures.length).toBeGreaterThan(0);
    for (const name of pictures) {
      const picture = readPicture(readFileSync(join(folder, name)));
      // A4 at 50 dots an inch; 5 mm are 10 dots. Nothing is printed where printers cannot.
      expect([picture.width, picture.height]).toEqual([414, 586]);
      expect(picture.inkWithin(10), name).toBe(picture.inkWithin(0));
      expect(picture.inkWithin(0), name).toBeGreaterThan(0.01 * picture.width * picture.height);
    }
    await lead.goto(`${hub.url}/lead#rigs`);
  });

  test("in practice every cue is met by one person who keeps to the order and walks", async () => {
    const { hands: all } = await asked.ask("POST", "/api/plan/check", await asked.ask("GET", "/api/plan"));
    await lead.locator('[data-action="go-practice"]').click();
    for (const id of FOUR) {
      expect(await lead.locator(`input[name="played"][data-rig="${id}"]`).isChecked()).toBe(true);
      await lead.locator(`input[name="safe"][data-rig="${id}"]`).check();
    }
    await lead.locator('input[name="offset"]').fill("-1:30");
    await lead.locator('input[name="until"]').fill("0:50");
    await lead.locator('select[name="until-anchor"]').selectOption("C3");
    await lead.locator('input[name="rate"]').fill("10");
    await lead.locator('[data-action="start-practice"]').click();
    await lead.locator('.practice-banner[data-rate="10"]').waitFor();
    const { runId } = await asked.run();
    // How long the hub was held up at the most meanwhile: its people are then as late.
    let heldS = 0;
    const kind = async () => {
      const asking = performance.now();
      const run = await asked.run();
      heldS = Math.max(heldS, (performance.now() - asking) / 1000);
      return run.kind;
    };
    await expect.poll(kind, { timeout: 90_000, interval: 50 }).toBe("real");
    const { cues } = await asked.ask("GET", `/api/review?run=${runId}`);
    const within = (cue: Ordered) =>
      cue.anchor === "C2" ? cue.startS > -85 : cue.anchor === "C3" && cue.startS < 35;
    const order: Ordered[] = all[0].order.filter(within);
    // Four filters off and on at the least.
    expect(order.filter(({ cueId }) => cueId.startsWith("filter-o"))).toHaveLength(8);
    const { rigs } = await asked.ask("GET", "/api/plan");
    const missed = order.flatMap(({ rigId, cueId }) => {
      const cue = rigs.find(({ id }: any) => id === rigId).cues.find(({ id }: any) => id === cueId);
      const met = cues.find((one: Ordered) => one.rigId === rigId && one.cueId === cueId);
      const afterS = (met?.doneRunMs - met?.dueRunMs) / 1000;
      // They look every 0.4 s of run time at this rate.
      const inTime = afterS >= cue.earliestS && afterS <= cue.latestS + 1 + 2 * 10 * heldS;
      return inTime ? [] : [`${rigId}/${cueId}: ${afterS} s after it was due`];
    });
    expect(missed).toEqual([]);
  });

  test("one code joins a phone to all rigs in one person's hands", async () => {
    await lead.goto(`${hub.url}/lead#join-sheet`);
    const code = lead.locator('[data-sheet-person="Ann"] [data-qr]');
    const { pathname, hash } = new URL((await code.getAttribute("data-qr")) ?? "");
    const phone = await openPage(browser, `${hub.url}${pathname}${hash}`, { waitMs: 30_000, wrong });
    await phone.locator('[data-page="rig"][data-link="linked"]').waitFor();
    await expect
      .poll(async () => (await asked.run()).rigs.map(({ linked }: { linked: boolean }) => linked))
      .toEqual(FOUR.map(() => true));
    await phone.context().close();
    await lead.goto(`${hub.url}/lead#rigs`);
  });

  test("rigs in other hands: the mend asks who it is, and both can do their part", async () => {
    // Two rigs: one more person takes one of them.
    const plan = await asked.ask("GET", "/api/plan");
    const two = { ...plan, rigs: ["west", "south"].map((id) => telescope(id, "Ann")) };
    const auth = { Authorization: `Bearer ${await hub.leadToken()}`, "If-Match": "*" };
    await hub.call("PUT", "/api/plan", two, auth);
    await lead.goto(`${hub.url}/lead#rigs`);
    await lead.reload();
    const mend = hands("Ann").locator('[data-mend="hand-over"]').first();
    await mend.locator('input[name="helper"]').fill("Ben");
    await mend.locator('[data-action="take-mend"]').click();
    await hands("Ben").waitFor();
    expect(
      (await asked.ask("GET", "/api/plan")).rigs.map((rig: { operator: string }) => rig.operator),
    ).toContain("Ben");
  });

  test("what a rig is made of says at once what it gives, and is kept", async () => {
    await lead.locator('[data-edit-rig="west"]').click();
    await lead.locator('[data-action="equipment"]').click();
    await lead.locator('[data-part="equipment"] input[name="fNumber"]').fill("8");
    await lead.locator('[data-part="equipment"] input[name="iso"]').fill("100");
    await lead.locator('[data-part="equipment"] select[name="format"]').selectOption("36x24");
    // NASA RP 1369, Table 16: ISO 100, f/8, prominences 1/1000 s; the formula of the same page gives 1/800.
    const prominences = lead.locator('[data-phenomenon="prominences"]');
    await expect.poll(() => prominences.textContent()).toContain("1/800 s");
    // 480 mm / 109 = 4.4 mm (NASA RP 1398).
    await expect.poll(() => lead.locator('[data-gives="framing"]').textContent()).toContain("4.4 mm");
    await lead.locator('[data-action="save-rig"]').click();
    await lead.locator("[data-saved]").waitFor();
    const west = (await asked.ask("GET", "/api/plan")).rigs.find(({ id }: { id: string }) => id === "west");
    expect(west.equipment).toMatchObject({ fNumber: 8, iso: 100, sensor: { widthMm: 36, heightPx: 4000 } });

    await lead.locator('[data-action="equipment"]').click();
    await lead.locator('[data-part="gives"][data-waiting="false"]').waitFor();
    expect(await violations(lead)).toEqual([]);
    await lead.setViewportSize({ width: 360, height: 667 });
    expect(await sidewaysOverflow(lead)).toEqual([]);
    await lead.setViewportSize({ width: 1366, height: 768 });
  });

  test("the plan goes out as a file and comes back; a fault in a table is named by row and column", async () => {
    await lead.locator('[data-action="go-rigs"]').click();
    const before = await asked.ask("GET", "/api/plan");
    const download = async (action: string) => {
      const [file] = await Promise.all([
        lead.waitForEvent("download"),
        lead.locator(`[data-action="${action}"]`).click(),
      ]);
      return readFileSync(await file.path(), "utf8");
    };
    expect(JSON.parse(await download("plan-json"))).toEqual(before);
    expect(await download("plan-calendar")).toContain("UID:2027-08-02-west-filter-off-0@");
    const csv = await download("plan-csv");
    const choose = (text: string) =>
      lead
        .locator('input[name="plan-file"]')
        .setInputFiles({ name: "plan.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
    const focalLength = csv.split("\r\n").find((line) => line.startsWith("rig,south")) ?? "";
    await choose(csv.replace(focalLength, focalLength.replace(",480,", ",-480,")));
    const row = csv.split("\r\n").indexOf(focalLength) + 1;
    await expect
      .poll(() => lead.locator("[data-file-wrong]").textContent())
      .toContain(`Row ${row}, column focalLengthMm`);
    await choose(csv.replace(focalLength, focalLength.replace(",480,", ",500,")));
    await lead.locator('[data-action="put-plan-file"]').click();
    await lead.locator("[data-file-saved]").waitFor();
    const { rigs } = await asked.ask("GET", "/api/plan");
    expect(rigs.map((rig: { focalLengthMm: number }) => rig.focalLengthMm)).toEqual([480, 500]);
    expect(rigs[0].equipment).toEqual(before.rigs[0].equipment);
  });
});
