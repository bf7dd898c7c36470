import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { CertificateKeeper } from "../../../hub/network/certificate-keeper.ts";
import { makeAuthority, makeLeaf } from "../../../hub/network/certificates.ts";
import type { KeyPair } from "../../../hub/network/one-port.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-keeper-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const now = Date.UTC(2027, 6, 1);

describe("the certificate keeper", () => {
  it("changes the hub's certificate when the laptop changes networks, and not before", async () => {
    let address = "10.0.0.2";
    const keeper = await CertificateKeeper.start({
      folder,
      label: "test",
      nowUtcMs: () => now,
      hosts: () => [address],
    });
    const first = keeper.current;
    expect(first?.kind).toBe("local");
    expect(first?.hosts).toContain("10.0.0.2");
    const set: KeyPair[] = [];
    keeper.watch({ setCertificate: (pair) => set.push(pair) }, 20);
    await new Promise((resolve) => setTimeout(resolve, 150));
    expect(set).toEqual([]);
    address = "192.168.77.3";
    for (let tries = 0; set.length === 0 && tries < 200; tries++) {
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    keeper.stop();
    expect(set).toEqual([keeper.current?.pair]);
    expect(keeper.current?.hosts).toContain("192.168.77.3");
    expect(keeper.current?.authority).toEqual(first?.authority);
  });

  it("lets the hub go on by http when no certificate can be made, and says why", async () => {
    writeFileSync(join(folder, "taken"), "");
    const keeper = await CertificateKeeper.start({
      folder: join(folder, "taken"),
      label: "test",
      nowUtcMs: () => now,
    });
    expect(keeper.current).toBeUndefined();
    expect(keeper.problem).toContain("could not be made");
  });

  it("serves with the group's own certificate and refuses a bad one by its option", async () => {
    const own = await makeLeaf(await makeAuthority("group", now), ["hub.local"], now);
    const options = { folder, label: "test", nowUtcMs: () => now };
    const keeper = await CertificateKeeper.start({ ...options, own });
    expect(keeper.current?.kind).toBe("own");
    const swapped = { cert: own.cert, key: (await makeAuthority("other", now)).key };
    await expect(CertificateKeeper.start({ ...options, own: swapped })).rejects.toMatchObject({
      field: "--key",
    });
  });
});
