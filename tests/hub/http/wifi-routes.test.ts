/** The site's Wi-Fi: a lead's to read and to change, kept with the site, and nowhere else. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";

const WIFI = { name: "Palm;Field", password: "totality-2027", hidden: false };

describe("the site's Wi-Fi", () => {
  let hub: TestHub;
  let log: MemoryLog;
  let token: string;
  beforeEach(async () => {
    log = new MemoryLog();
    hub = await startTestHub(log);
    token = await hub.signIn();
  });
  afterEach(async () => {
    await hub.stop();
    expect(hub.errors).toEqual([]);
  });

  it("is kept until a lead forgets it, and is there after a new start", async () => {
    expect((await hub.call("GET", "/api/wifi", undefined, token)).body).toEqual({ wifi: null });
    const saved = await hub.call("PUT", "/api/wifi", WIFI, token);
    expect(saved).toMatchObject({ status: 200, body: { wifi: WIFI } });
    expect(saved.headers.get("Cache-Control")).toBe("no-store");
    await hub.stop();
    hub = await startTestHub(log);
    token = await hub.signIn();
    expect((await hub.call("GET", "/api/wifi", undefined, token)).body).toEqual({ wifi: WIFI });
    expect((await hub.call("DELETE", "/api/wifi", undefined, token)).body).toEqual({ wifi: null });
    expect((await hub.call("GET", "/api/wifi", undefined, token)).body).toEqual({ wifi: null });
  });

  it("is a lead's only", async () => {
    for (const method of ["GET", "PUT", "DELETE"])
      expect((await hub.call(method, "/api/wifi", method === "PUT" ? WIFI : undefined)).status).toBe(401);
  });

  it("stands in no log, no plan, no run and on no board", async () => {
    await hub.call("PUT", "/api/wifi", WIFI, token);
    for (const path of [
      "/api/log.json",
      "/api/log.csv",
      "/api/plan",
      "/api/run",
      "/api/board",
      "/api/health",
    ]) {
      const response = await fetch(`${hub.url}${path}`, { headers: { Authorization: `Bearer ${token}` } });
      expect(response.status, path).toBe(200);
      const text = await response.text();
      expect(text, path).not.toContain("totality-2027");
      expect(text, path).not.toContain("Palm;Field");
    }
    expect(JSON.stringify(hub.parts.keeper.state)).not.toContain("totality-2027");
  });

  it("is refused by the field that is wrong, and what was kept stays", async () => {
    await hub.call("PUT", "/api/wifi", WIFI, token);
    expect(await hub.call("PUT", "/api/wifi", { ...WIFI, password: "short" }, token)).toMatchObject({
      status: 400,
      body: { error: { code: "bad-input", field: "password" } },
    });
    expect((await hub.call("GET", "/api/wifi", undefined, token)).body).toEqual({ wifi: WIFI });
  });

  it("of a restored file that holds nonsense there is none", async () => {
    log.setSetting("wifi", { name: 7 });
    expect((await hub.call("GET", "/api/wifi", undefined, token)).body).toEqual({ wifi: null });
  });
});
