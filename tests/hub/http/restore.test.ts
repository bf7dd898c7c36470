/**
 * Restoring through the front door: a hub as a process of its own is handed site files as a lead
 * would hand them. Whatever is wrong with a file, the site that was there goes on.
 */
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { migrations } from "../../../hub/log/schema.ts";
import { BAD_FILES, makeBad } from "../../../scripts/campaign/support/bad-files.ts";
import { FIELD_PLAN, HubProcess, planField } from "../../../scripts/campaign/support/hub-process.ts";
import { BUILT_HUB } from "../../support/built-hub.ts";
import { type Patience, until } from "../../support/until.ts";

let hub: HubProcess;
let good: string;
const folder = mkdtempSync(join(tmpdir(), "noonfall-restore-"));

async function report(id: string, batteryPct: number) {
  const token = await hub.rigToken("west");
  return hub.call("POST", "/api/rigs/west/reports", { id, atUtcMs: Date.now(), batteryPct }, token);
}

const printed: Patience = { told: () => `the hub printed\n${hub.printed}` };

beforeAll(async () => {
  hub = await HubProcess.start({ program: BUILT_HUB });
  await planField(hub);
  for (let n = 1; n <= 5; n++) expect((await report(`before-${n}`, n)).status).toBe(200);
  // What only parts of were kept is marked so in the log; the file with it is as good as any.
  const token = await hub.rigToken("west");
  const beyond = { id: "marked", atUtcMs: Date.now(), checks: { "no such check": true }, batteryPct: 6 };
  expect((await hub.call("POST", "/api/rigs/west/reports", beyond, token)).status).toBe(200);
  good = join(folder, "good.site");
  writeFileSync(good, await hub.download("/api/site"));
});
afterAll(async () => {
  await hub.remove();
  rmSync(folder, { recursive: true, force: true });
});

const leftOver = () => readdirSync(hub.siteDir).filter((name) => /partial|incoming/.test(name));
const eventsNow = async () =>
  (await hub.asLead("GET", "/api/log.json")).body.events as { commandId: string }[];

describe("a site file that no hub may go on with", () => {
  // All of them are for the campaign; here one of each kind.
  const SOME = [
    "noise behind a good header",
    "garbage in the second page",
    "a trigger under a name that a pattern for SQLite's own lets by",
    "commands without their key",
    "a column more",
    "an event of an unknown kind",
    "a save of no rig",
  ];

  it.each(SOME)("%s is refused with a sentence, and the site goes on", async (name) => {
    const bad = BAD_FILES.find((one) => one.name === name);
    if (!bad) throw new Error(`there is no such file: ${name}`);
    const file = join(folder, "bad.site");
    makeBad(good, bad, file);
    const before = (await eventsNow()).length;
    const { status, body } = await hub.asLead("POST", "/api/site", readFileSync(file));
    expect({ status, error: body.error }).toMatchObject({
      status: 400,
      error: { code: "bad-input", field: "body", message: expect.stringMatching(/^The file [^\n]+$/) },
    });
    expect(leftOver()).toEqual([]);
    expect((await report(`after ${name}`, 50)).status).toBe(200);
    expect((await eventsNow()).length).toBeGreaterThan(before);
  });

  it("a body that is compressed is not unpacked", async () => {
    const response = await fetch(`${hub.url}/api/site`, {
      method: "POST",
      headers: { Authorization: `Bearer ${await hub.lead()}`, "Content-Encoding": "gzip" },
      body: new Uint8Array(100),
    });
    expect(response.status).toBe(400);
    expect(await response.json()).toMatchObject({ error: { field: "Content-Encoding" } });
  });
});

describe("a good one", () => {
  it("is refused while every lens is to stay covered: only a release ends that (S7)", async () => {
    const order = (id: string, type: "cover" | "releaseCover") =>
      hub.asLead("POST", "/api/orders", { id, order: { type } });
    expect((await order("cover-1", "cover")).status).toBe(200);
    const answer = await hub.asLead("POST", "/api/site", readFileSync(good));
    expect({ status: answer.status, error: answer.body.error }).toMatchObject({
      error: { code: "safety-rule", rule: "S7", data: { reason: "covered" } },
    });
    expect((await order("release-1", "releaseCover")).status).toBe(200);
  });

  it("is put in place; what was there is kept; a hub that is killed then starts with it", async () => {
    expect((await report("only in the one before", 77)).status).toBe(200);
    const answer = await hub.asLead("POST", "/api/site", readFileSync(good));
    expect(answer).toMatchObject({ status: 202, body: { version: migrations.length } });
    let ids: string[] = [];
    const restored = async () => {
      hub.forgetLead();
      ids = (await eventsNow()).map((event) => event.commandId);
      return !ids.includes("only in the one before");
    };
    await until("the other site is there", () => restored().catch(() => false), printed);
    expect(ids).toEqual(expect.arrayContaining(["before-5", "marked"]));
    expect((await hub.asLead("GET", "/api/plan")).body.group).toBe(FIELD_PLAN.group);
    expect(readdirSync(hub.siteDir).filter((name) => name.startsWith("before-restore"))).toHaveLength(1);
    await hub.kill();
    writeFileSync(join(hub.siteDir, "outgoing-0.partial"), "as a kill leaves it");
    await hub.start();
    expect((await report("after the kill", 5)).status).toBe(200);
    expect(leftOver()).toEqual([]);
    expect(existsSync(join(hub.siteDir, "site.db"))).toBe(true);
  });
});
