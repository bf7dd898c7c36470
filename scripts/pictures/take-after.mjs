/**
 * The evening after, with invented cards: frames whose small pictures the browser draws and whose
 * headers Debian's exiftool writes, by cameras whose clocks are wrong by a minute to three hours.
 */
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const SIZE = { viewport: { width: 1180, height: 900 } };
const SITE = {
  name: "Heron Flats",
  latDeg: 24.62,
  lonDeg: 32.6,
  heightM: 110,
  confirmed: true,
  placeBoundM: 20,
};
const RIGS = [
  { id: "east", name: "East mount", kind: "tracked-telescope", operator: "Ines", focalLengthMm: 540 },
  { id: "tripod", name: "Long tripod", kind: "tripod-camera", operator: "Tomasz", focalLengthMm: 300 },
  {
    id: "horizon",
    name: "Horizon camera",
    kind: "wide-camera",
    operator: "Marisol",
    focalLengthMm: 14,
    filter: "none by design",
  },
];
/** How far each rig's camera runs ahead of UTC, ms. */
const AHEAD = { east: 7_203_410, tripod: -61_240, horizon: 10_790_000 };

/** @param {import("./stage.mjs").Stage} stage */
export async function takeAfter({ hub, lead: signedIn, shot, part }) {
  const { base, token, api } = await hub();
  const plan = { group: "Lantern Field Club", eclipse: "2027-08-02", site: SITE, rigs: RIGS };
  await api("PUT", "/api/plan", plan, token, { "If-Match": '"plan-0"' });
  const { contacts } = await api("GET", "/api/run", undefined, token);
  const [c1, c2, c3, c4] = ["c1", "c2", "c3", "c4"].map((name) => Date.parse(contacts[name].utc));
  for (const rigId of ["east", "tripod"]) {
    const link = await api("GET", `/api/rigs/${rigId}/link`, undefined, token);
    const report = { id: `on-${rigId}`, filter: "on", atUtcMs: Date.now() - 1000 };
    await api("POST", `/api/rigs/${rigId}/reports`, report, link.token);
  }
  await clocksOf({ api, token, c1, c2, c4 });

  const cards = mkdtempSync(join(tmpdir(), "noonfall-cards-"));
  try {
    const lead = await signedIn(base, SIZE);
    await writeCards(lead, cards, { c1, c2, c3, c4 });

    const clock = await lead.context().newPage();
    await clock.goto(`${base}/clock`);
    await clock.locator('canvas[data-panel="1"][data-code^="1"]').waitFor();
    await shot(clock, "after-clock");
    await clock.close();

    await lead.goto(`${base}/lead#camera-clocks`);
    await lead.locator('[data-camera="Camera 1"] [data-sentence]').waitFor();
    await part(lead, '[data-camera="Camera 1"]', "after-camera");

    await lead.goto(`${base}/lead#images`);
    for (const { id } of RIGS) {
      await lead.locator('[data-action="images-rig"]').selectOption(id);
      await lead.locator('[data-action="choose-folder"]').setInputFiles(join(cards, id));
      await lead.locator('[data-reading="done"]').waitFor();
      await lead.locator(`[data-part="images-picture"] [data-rig="${id}"]`).waitFor();
    }
    for (let step = 0; step < 6; step++) await lead.locator('[data-action="frame-after"]').click();
    await lead.locator('[data-part="findings"]').scrollIntoViewIfNeeded();
    await shot(lead, "after-picture");
    await part(lead, '[data-part="second-strip"]', "after-second");
    await part(lead, '[data-part="contact-sheet"]', "after-contact-sheet");
    await part(lead, '[data-part="take-away"]', "after-take-away");
  } finally {
    rmSync(cards, { recursive: true, force: true });
  }
}

/** Photographs of the clock before and after, one of which does not belong to the others; one set by hand. */
async function clocksOf({ api, token, c1, c2, c4 }) {
  const when = [
    ...[1_500_000, 1_499_300, 1_498_600, 1_497_500].map((before) => c1 - before),
    ...[400_000, 400_700, 401_400].map((after) => c4 + after),
  ];
  const sightings = (rigId, perMs) =>
    when.map((utcMs, at) => {
      const stampMs = utcMs + 60 + AHEAD[rigId] + (utcMs - c2) * perMs + (at === 3 ? 3000 : 0);
      return {
        of: "code",
        name: `clock-${at}.jpg`,
        stampMs: Math.floor(stampMs / 10) * 10,
        stepMs: 10,
        utcMs,
        holdMs: 100,
        boundMs: 6,
      };
    });
  const bySight = (rigId, camera, zoneMin, perMs) => ({
    rigId,
    camera,
    zoneMin,
    basis: { how: "sightings", sightings: sightings(rigId, perMs) },
  });
  const byHand = { how: "hand", offsetS: -10, boundS: 0.5, utcMs: c2 };
  for (const word of [
    bySight("east", "Camera 1", 120, 12e-6),
    bySight("tripod", "Camera 2", 0, -8e-6),
    { rigId: "horizon", camera: "Wide", zoneMin: 180, basis: byHand },
  ])
    await api("POST", "/api/camera-clocks", word, token);
}

/** A partial phase every five minutes, a burst that stops before C2, the corona, a landscape. */
async function writeCards(page, folder, { c1, c2, c3, c4 }) {
  const exif = [];
  const frame = async (rigId, count, utcMs, exposure) => {
    const covered = utcMs < c2 ? (utcMs - c1) / (c2 - c1) : utcMs > c3 ? (c4 - utcMs) / (c4 - c3) : 1;
    const file = join(folder, rigId, "DCIM", `IMG_${String(count).padStart(4, "0")}.JPG`);
    writeFileSync(file, await drawSun(page, Math.min(1, Math.max(0, covered)), rigId === "horizon"));
    const stamp = new Date(utcMs + AHEAD[rigId]).toISOString();
    const taken = `${stamp.slice(0, 10).replaceAll("-", ":")} ${stamp.slice(11, 19)}`;
    const tags = [`DateTimeOriginal=${taken}`, `SubSecTimeOriginal=${stamp.slice(20, 22)}`];
    tags.push(`ExposureTime=${exposure}`, "FNumber=8", "ISO=200");
    exif.push("-q", "-overwrite_original", ...tags.map((tag) => `-${tag}`), file, "-execute");
  };
  for (const { id } of RIGS) mkdirSync(join(folder, id, "DCIM"), { recursive: true });
  const series = async (rigId, first, [from, to, everyMs], exposures) => {
    let count = first;
    for (let utcMs = from; utcMs < to; utcMs += everyMs, count++)
      await frame(rigId, count, utcMs, exposures[count % exposures.length]);
    return count;
  };
  let east = await series("east", 0, [c1 + 60_000, c2 - 60_000, 300_000], ["1/500"]);
  east = await series("east", east, [c2 - 12_000, c2 - 4000, 250], ["1/1000"]);
  east = await series("east", east, [c2 + 9000, c3 + 8000, 2500], ["1/1000", "1/60", "1/4", "1"]);
  await series("east", east, [c3 + 60_000, c4, 300_000], ["1/500"]);
  const tripod = await series("tripod", 0, [c1 + 80_000, c2 - 40_000, 300_000], ["1/800"]);
  await series("tripod", tripod, [c2 + 2000, c3 - 2000, 3000], ["1/30"]);
  await series("horizon", 0, [c2 - 600_000, c3 + 600_000, 10_000], ["1/60"]);
  execFileSync("exiftool", ["-@", "-"], {
    input: `${exif.join("\n")}\n`,
    stdio: ["pipe", "ignore", "ignore"],
  });
}

/** A small JPEG of the Sun, so much of its diameter covered. */
async function drawSun(page, covered, wide) {
  const base64 = await page.evaluate(
    ([covered, wide]) => {
      const canvas = new OffscreenCanvas(240, 160);
      const pen = canvas.getContext("2d");
      const [x, y, radius] = [120, wide ? 50 : 80, wide ? 9 : 38];
      const disc = (at, size, colour) => {
        pen.fillStyle = colour;
        pen.beginPath();
        pen.arc(at, y, size, 0, 7);
        pen.fill();
      };
      const sky = covered >= 1 ? "#05060c" : wide ? "#5b6f8c" : "#000";
      pen.fillStyle = sky;
      pen.fillRect(0, 0, 240, 160);
      if (covered >= 1) {
        const corona = pen.createRadialGradient(x, y, radius, x, y, radius * 2.2);
        corona.addColorStop(0, "#f4f1e6");
        corona.addColorStop(1, "#05060c00");
        pen.fillStyle = corona;
        pen.fillRect(0, 0, 240, 160);
        disc(x, radius, "#000");
      } else {
        disc(x, radius, wide ? "#fff8e0" : "#ffb84d");
        disc(x + (1 - covered) * 2 * radius, radius * 1.02, sky);
      }
      if (wide) {
        pen.fillStyle = "#20242c";
        pen.fillRect(0, 130, 240, 30);
      }
      return canvas
        .convertToBlob({ type: "image/jpeg", quality: 0.8 })
        .then((blob) => blob.arrayBuffer())
        .then((bytes) => btoa(String.fromCharCode(...new Uint8Array(bytes))));
    },
    [covered, wide],
  );
  return Buffer.from(base64, "base64");
}
