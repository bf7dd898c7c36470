import { describe, expect, it } from "vitest";
import { isOwnHost, isOwnOrigin, type OwnHosts, ownHosts } from "../../../hub/network/hosts.ts";

const own: OwnHosts = {
  addresses: new Set(["192.168.8.101", "fd12:3456::5"]),
  names: new Set(["field-laptop", "hub.group.example", "*.sites.example"]),
};

describe("isOwnHost", () => {
  it("takes the machine's addresses and names, with or without port", () => {
    for (const host of [
      "192.168.8.101",
      "192.168.8.101:8080",
      "[fd12:3456::5]:8080",
      "[FD12:3456::5]",
      "localhost:8080",
      "LOCALHOST",
      "127.0.0.1:1",
      "[::1]:8080",
      "field-laptop:8080",
      "Field-Laptop.local",
      "anything.local.",
      "hub.group.example",
      "west.sites.example:443",
    ]) {
      expect([host, isOwnHost(host, own)]).toEqual([host, true]);
    }
  });

  it("refuses every other name, and what is no host at all", () => {
    for (const host of [
      undefined,
      "",
      "evil.example",
      "192.168.8.102",
      "192.168.8.101.evil.example",
      "localhost.evil.example",
      "evil.example#.local",
      "evil.example/.local",
      "user@localhost",
      "evil.example:80:localhost",
      "sites.example",
      "a.b.sites.example",
      "[::2]",
      "fd12:3456::5",
      " localhost",
      "local",
    ]) {
      expect([host, isOwnHost(host, own)]).toEqual([host, false]);
    }
  });
});

describe("isOwnOrigin", () => {
  it("takes the page that this hub served, by http and https, and programs without an origin", () => {
    expect(isOwnOrigin("http://192.168.8.101:8080", "192.168.8.101:8080", own)).toBe(true);
    expect(isOwnOrigin("https://192.168.8.101:8080", "192.168.8.101:8080", own)).toBe(true);
    expect(isOwnOrigin("http://localhost", "localhost:80", own)).toBe(true);
    expect(isOwnOrigin(undefined, "localhost:8080", own)).toBe(true);
  });

  it("refuses other pages, other ports of this machine, files and foreign hosts", () => {
    expect(isOwnOrigin("http://evil.example", "192.168.8.101:8080", own)).toBe(false);
    expect(isOwnOrigin("http://192.168.8.101:3000", "192.168.8.101:8080", own)).toBe(false);
    expect(isOwnOrigin("null", "192.168.8.101:8080", own)).toBe(false);
    expect(isOwnOrigin("file://192.168.8.101:8080", "192.168.8.101:8080", own)).toBe(false);
    expect(isOwnOrigin("http://evil.example:8080", "evil.example:8080", own)).toBe(false);
    expect(isOwnOrigin(undefined, "evil.example", own)).toBe(false);
    expect(isOwnOrigin("", "localhost:8080", own)).toBe(false);
  });
});

describe("ownHosts", () => {
  it("notices within seconds that the laptop changed networks", () => {
    let address = "10.0.0.2";
    let nowMs = 0;
    const look = ownHosts(["hub.group.example", "203.0.113.7"], {
      hostname: () => "Field-Laptop",
      monoMs: () => nowMs,
      networkInterfaces: () => ({
        wlan0: [
          {
            address,
            netmask: "255.255.255.0",
            family: "IPv4",
            mac: "a4:5e:60:c1:22:33",
            internal: false,
            cidr: null,
          },
        ],
      }),
    });
    expect(isOwnHost("10.0.0.2", look())).toBe(true);
    expect(isOwnHost("field-laptop", look())).toBe(true);
    expect(isOwnHost("hub.group.example", look())).toBe(true);
    expect(isOwnHost("203.0.113.7:80", look())).toBe(true);
    address = "10.9.9.9";
    nowMs = 2500;
    expect(isOwnHost("10.0.0.2", look())).toBe(false);
    expect(isOwnHost("10.9.9.9", look())).toBe(true);
  });
});
