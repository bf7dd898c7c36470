/** A plan made by one person for four rigs: place, hands, equipment, cues, paper. */
import { wait } from "./stage.mjs";

const SIZE = { viewport: { width: 1180, height: 760 } };

/** An invented field on the path of 2027-08-02. */
const PLAN = {
  group: "Lantern Field Club",
  eclipse: "2027-08-02",
  site: { name: "Heron Flats", latDeg: 24.6, lonDeg: 32.6, heightM: 110, confirmed: true, placeBoundM: 20 },
  limb: true,
  rigs: [
    {
      id: "long",
      name: "Long lens",
      kind: "tracked-telescope",
      operator: "Noor",
      focalLengthMm: 480,
      equipment: {
        fNumber: 6.3,
        iso: 200,
        sensor: { widthMm: 23.5, heightMm: 15.6, widthPx: 6000, heightPx: 4000 },
        mount: "alt-azimuth",
        tracking: "solar",
        frameMB: 28,
        cardGB: 64,
        batteryWh: 40,
        drawW: 9,
      },
    },
    {
      id: "robot",
      name: "Small robot",
      kind: "small-automatic-telescope",
      operator: "Noor",
      focalLengthMm: 250,
    },
    { id: "tripod", name: "Tripod", kind: "tripod-camera", operator: "Noor", focalLengthMm: 300 },
    { id: "video", name: "Video", kind: "video-camera", operator: "Noor", focalLengthMm: 85 },
  ],
};

/** Each with the minutes that the drive takes. */
const CANDIDATES = [
  { name: "Heron Flats", latDeg: 24.6, lonDeg: 32.6, heightM: 110, driveMin: 20 },
  { name: "Old quarry", latDeg: 25.1, lonDeg: 32.75, heightM: 180, driveMin: 55 },
  { name: "Salt ridge", latDeg: 25.55, lonDeg: 32.9, heightM: 240, driveMin: 130 },
];

/** @param {import("./stage.mjs").Stage} stage */
export async function takePlan({ hub, lead: signedIn, shot, part }) {
  const { base, token, api } = await hub();
  await api("PUT", "/api/plan", PLAN, token, { "If-Match": '"plan-0"' });
  for (const [at, { driveMin, ...site }] of CANDIDATES.entries())
    await api("PUT", `/api/candidates/place-${at}`, { id: `place-${at}`, site, driveMin }, token);
  const lead = await signedIn(base, SIZE);
  const open = async (address) => {
    await lead.goto(`${base}/lead#${address}`);
    await wait(3000);
  };

  await open("site");
  await shot(lead, "plan-place");
  await part(lead, '[data-part="candidates"]', "plan-candidates");

  await open("rigs");
  await lead.locator('[data-part="hands"][data-waiting="false"]').waitFor();
  await shot(lead, "plan-hands");
  const hands = lead.locator('[data-hands="Noor"]');
  while ((await hands.getAttribute("data-feasible")) === "false") {
    await hands.locator('[data-mend]:not([data-mend="hand-over"]) [data-action="take-mend"]').first().click();
    await wait(3000);
  }

  await open("rigs/long");
  await lead.locator('[data-action="equipment"]').click();
  await wait(2500);
  await part(lead, '[data-part="gives"]', "plan-equipment");
  await lead.locator('[data-action="equipment"]').click();

  const cue = lead.locator('[data-cue="filter-off"] [data-action="open-cue"]');
  await cue.click();
  await wait(1000);
  await shot(lead, "plan-cues");

  await open("cue-sheets/people");
  await part(lead, "[data-sheet-person]", "plan-sheet");
}
