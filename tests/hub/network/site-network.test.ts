import type { NetworkInterfaceInfo } from "node:os";
import { describe, expect, it } from "vitest";
import type { SiteCertificate } from "../../../hub/network/certificate-store.ts";
import { siteNetwork } from "../../../hub/network/site-network.ts";

const wifi = (address: string): NetworkInterfaceInfo => ({
  address,
  netmask: "255.255.255.0",
  family: "IPv4",
  mac: "12:34:56:78:9a:bc",
  internal: false,
  cidr: `${address}/24`,
});
const certificate = (kind: "own" | "local", hosts: string[]): SiteCertificate => ({
  kind,
  pair: { cert: "", key: "" },
  hosts,
  notAfterUtcMs: 0,
  ...(kind === "local" && { authority: { pem: "", der: Buffer.alloc(0), sha256: "AB:CD" } }),
});
const interfaces = { wlan0: [wifi("192.168.1.4")], eth0: [wifi("203.0.113.7")] };

describe("how a site is reached", () => {
  it("is by plain http at every address whatever the certificate", () => {
    for (const held of [undefined, certificate("local", []), certificate("own", [])]) {
      expect(siteNetwork(interfaces, held, { port: 8620 }).origins).toEqual([
        "http://192.168.1.4:8620",
        "http://203.0.113.7:8620",
      ]);
    }
  });

  it("is by https where the certificate covers the address, and nowhere else", () => {
    const held = certificate("local", ["localhost", "192.168.1.4"]);
    expect(siteNetwork(interfaces, held, { port: 8620 })).toMatchObject({
      secureOrigins: ["https://192.168.1.4:8620"],
      tier: "local authority",
      authorityFingerprint: "AB:CD",
    });
    expect(siteNetwork(interfaces, undefined, { port: 8620 })).toMatchObject({
      secureOrigins: [],
      tier: "none",
    });
  });

  it("is by the group's own name first; a wildcard names nothing by itself", () => {
    const held = certificate("own", ["hub.group.example", "*.site.example"]);
    expect(siteNetwork(interfaces, held, { port: 443 }).secureOrigins).toEqual(["https://hub.group.example"]);
    // RFC 6125, 6.4.3: one label, the left-most.
    const bound = siteNetwork(interfaces, held, { port: 443, host: "north.site.example" });
    expect(bound.secureOrigins).toContain("https://north.site.example");
    const deeper = siteNetwork(interfaces, held, { port: 443, host: "a.north.site.example" });
    expect(deeper.secureOrigins).not.toContain("https://a.north.site.example");
  });
});
