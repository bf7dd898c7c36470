/** The demo around its practice: board, array, and a phone from set-up to being alone. */
import { wait } from "./stage.mjs";

const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };
const LAPTOP = { viewport: { width: 1280, height: 800 } };

/** @param {import("./stage.mjs").Stage} stage */
export async function takeRun({ browser, hub, lead: signedIn, shot }) {
  const { base, token, api, end } = await hub("--demo");
  const practise = (anchor, offsetS) => api("POST", "/api/practice", { anchor, offsetS, rate: 1 }, token);
  const { rigs } = await api("GET", "/api/plan", undefined, token);
  const rig = rigs.find(({ kind }) => kind === "tracked-telescope");
  const link = await api("GET", `/api/rigs/${rig.id}/link`, undefined, token);

  const say = (report) =>
    api("POST", `/api/rigs/${rig.id}/reports`, { atUtcMs: Date.now(), ...report }, link.token);

  // No cue within a minute, so that the phone shows its set-up screen.
  await practise("C2", -290);
  const board = await (await browser.newContext(LAPTOP)).newPage();
  await board.goto(`${base}/board`);
  const lead = await signedIn(base, LAPTOP);
  const phone = await (await browser.newContext(PHONE)).newPage();
  await phone.goto(`${base}/rig#${link.url.split("#")[1]}`);
  await wait(8000);
  await shot(board, "board");
  await shot(phone, "rig-set-up");
  await phone.locator('[data-action="arm"] button').first().click();
  await wait(1000);

  await practise("C2", -40);
  await say({ id: "safe", practiceSafe: true });
  await wait(13_000);
  await shot(phone, "rig-count-in");
  await practise("C2", 20);
  await say({ id: "safe-2", practiceSafe: true });
  // After the simulated operator of this rig has said that it is on.
  await wait(9000);
  await say({ id: "off", filter: "off", looked: true, cueDone: "filter-off" });
  await wait(1500);
  await shot(phone, "rig-totality");
  await practise("C3", -12);
  await wait(42_000);
  await shot(lead, "array");
  await end();
  await wait(9000);
  await shot(phone, "rig-alone");
}
