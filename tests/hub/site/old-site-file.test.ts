/**
 * A site file as hubs wrote it while each save logged the whole plan (planSaved, version 1): three
 * rigs with edits of every kind, a practice, reports, and a move. The fixture was made by that
 * hub, and the plan beside it is what its GET /api/plan then answered; all of it is invented.
 */
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { stageRestore } from "../../../hub/log/site-file.ts";
import { openLog, siteFolder } from "../../../hub/log/site-folder.ts";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";

const FIXTURES = new URL("../../fixtures/site/", import.meta.url);
const was = JSON.parse(readFileSync(new URL("whole-plan-events.json", FIXTURES), "utf8"));

let folder: string;
let hub: TestHub | undefined;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-old-"));
});
afterEach(async () => {
  await hub?.stop();
  hub = undefined;
  rmSync(folder, { recursive: true, force: true });
});

/** A hub with the file as its own, or restored from it, and a lead's token (the PIN is in the file). */
async function started(way: "opened" | "restored"): Promise<[TestHub, string]> {
  const data = join(folder, "data");
  const site = siteFolder(data, "site");
  const file = join(folder, "carried.site");
  copyFileSync(new URL("whole-plan-events.site", FIXTURES), file);
  mkdirSync(site, { recursive: true });
  if (way === "opened") copyFileSync(file, join(site, "site.db"));
  else await stageRestore(site, file);
  hub = await startTestHub(openLog(data, "site"));
  return [hub, await hub.signIn()];
}

const withoutEdits = ({ edits: _edits, ...rig }: any) => rig;

describe.each(["opened", "restored"] as const)("a site file that holds whole plans, %s", (way) => {
  it("gives the same plan with the same ETag, and the same contacts", async () => {
    const [hub, token] = await started(way);
    const read = await hub.call("GET", "/api/plan", undefined, token);
    // Edits were not kept then: they are what differs from the default lists, as these are today.
    expect({ ...read.body, rigs: read.body.rigs.map(withoutEdits) }).toEqual(was.plan);
    const edits = Object.fromEntries(read.body.rigs.map((rig: any) => [rig.id, rig.edits ?? []]));
    expect(edits.west).toContainEqual({
      do: "say",
      cueId: "corona-brackets",
      say: "Seven brackets, slowly.",
    });
    expect(edits.west).toContainEqual({ do: "switch", cueId: "first-bite", on: false });
    expect(edits.west).toContainEqual({ do: "move", cueId: "burst-before", byS: -2 });
    expect(edits.wide.map((edit: any) => edit.do)).toEqual(["take out", "take out", "confirm", "add"]);
    expect(edits.glass).toEqual([]);
    expect(read.headers.get("ETag")).toBe(was.etag);
    expect((await hub.call("GET", "/api/run", undefined, token)).body.contacts).toEqual(was.contacts);
    expect(hub.errors).toEqual([]);
  });

  it("takes the next save", async () => {
    const [hub, token] = await started(way);
    const renamed = { ...was.plan, group: "Another name" };
    const saved = await hub.call("PUT", "/api/plan", renamed, token, { "If-Match": was.etag });
    expect(saved.body.rigs.map(withoutEdits)).toEqual(was.plan.rigs);
    expect(saved).toMatchObject({ status: 200, body: { ...renamed, revision: was.plan.revision + 1 } });
  });
});
