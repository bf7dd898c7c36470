/**
 * The machines here are invented. Address ranges: RFC 1918, 3927, 4193, 4291, 6598; documentation
 * addresses (RFC 5737, RFC 3849) stand for public ones. Interface names: as Linux (systemd's
 * predictable names), macOS and Windows give them; common practice, from memory.
 */
import type { NetworkInterfaceInfo } from "node:os";
import { describe, expect, it } from "vitest";
import { listAddresses, listUrls, ownAddresses, siteUrl } from "../../../hub/network/addresses.ts";
import { scopeOf } from "../../../hub/network/ip.ts";

const loopback = v4("127.0.0.1", { netmask: "255.0.0.0", internal: true, mac: "00:00:00:00:00:00" });

function v4(address: string, change: Partial<NetworkInterfaceInfo> = {}): NetworkInterfaceInfo {
  return {
    address,
    netmask: "255.255.255.0",
    family: "IPv4",
    mac: "a4:5e:60:c1:22:33",
    internal: false,
    cidr: `${address}/24`,
    ...change,
  } as NetworkInterfaceInfo;
}

function v6(address: string): NetworkInterfaceInfo {
  return {
    address,
    netmask: "ffff:ffff:ffff:ffff::",
    family: "IPv6",
    mac: "a4:5e:60:c1:22:33",
    internal: false,
    cidr: `${address}/64`,
    scopeid: 0,
  };
}

const order = (interfaces: NodeJS.Dict<NetworkInterfaceInfo[]>): string[] =>
  listAddresses(interfaces).map((found) => found.address);

describe("listAddresses", () => {
  it("puts Wi-Fi and cable of a Linux laptop before its containers, machines and tunnels", () => {
    const interfaces = {
      lo: [loopback],
      docker0: [v4("172.17.0.1", { mac: "02:42:8f:11:22:33" })],
      "br-5f3a1c2b9d0e": [v4("172.18.0.1", { mac: "02:42:8f:11:22:34" })],
      virbr0: [v4("192.168.122.1")],
      tun0: [v4("10.8.0.6", { netmask: "255.255.255.255", mac: "00:00:00:00:00:00" })],
      enp3s0: [v4("10.20.0.15")],
      wlp2s0: [v4("192.168.8.101"), v6("fe80::a65e:60ff:fec1:2233")],
    };
    expect(order(interfaces).slice(0, 2)).toEqual(["192.168.8.101", "10.20.0.15"]);
    expect(order(interfaces).at(2)).toBe("10.8.0.6");
    expect(order(interfaces)).toHaveLength(6);
  });

  it("puts the laptop's own hotspot first, for it runs the phones' network", () => {
    const interfaces = {
      lo: [loopback],
      eth0: [v4("10.0.0.77")],
      wlan0: [v4("10.42.0.1")],
    };
    expect(order(interfaces)[0]).toBe("10.42.0.1");
    expect(listAddresses(interfaces)[0]?.kind).toBe("hotspot");
  });

  it("knows a macOS laptop that shares its connection", () => {
    const interfaces = {
      lo0: [loopback],
      en0: [v4("192.168.1.33"), v6("fe80::1c2b"), v6("2001:db8:1::33"), v6("2001:db8:1::77")],
      awdl0: [v6("fe80::aa")],
      bridge100: [v4("192.168.2.1")],
      utun3: [v4("100.101.102.103", { netmask: "255.255.255.255" })],
    };
    expect(order(interfaces)).toEqual(["192.168.2.1", "192.168.1.33", "2001:db8:1::33", "100.101.102.103"]);
  });

  it("knows a Windows laptop by the names of its adapters", () => {
    const interfaces = {
      "vEthernet (Default Switch)": [v4("172.29.64.1", { netmask: "255.255.240.0" })],
      "VirtualBox Host-Only Network": [v4("192.168.56.1")],
      "Some VPN": [v4("10.2.0.2")],
      "Local Area Connection* 10": [v4("192.168.137.1")],
      Ethernet: [v4("169.254.10.20")],
      "Wi-Fi": [v4("192.168.0.14")],
    };
    expect(order(interfaces).slice(0, 3)).toEqual(["192.168.137.1", "192.168.0.14", "10.2.0.2"]);
  });

  it("tells a tunnel by its address or by having no hardware address, whatever its name", () => {
    const interfaces = {
      mystery0: [v4("10.66.0.2", { mac: "00:00:00:00:00:00" })],
      mystery1: [v4("100.70.1.2")],
      mystery2: [v4("192.168.5.9")],
    };
    expect(order(interfaces)[0]).toBe("192.168.5.9");
    expect(listAddresses(interfaces).map((found) => found.kind)).toEqual(["other", "tunnel", "tunnel"]);
  });

  it("prefers private IPv4, then public IPv4, then unique local, then global IPv6", () => {
    const interfaces = {
      wlan0: [v6("2001:db8::5"), v6("fd12:3456::5"), v4("203.0.113.9"), v4("192.168.4.5")],
    };
    expect(order(interfaces)).toEqual(["192.168.4.5", "203.0.113.9", "fd12:3456::5", "2001:db8::5"]);
  });

  it("leaves out link-local addresses and the loopback", () => {
    expect(
      order({ lo: [loopback], wlan0: [v4("169.254.3.4"), v6("fe80::1%wlan0")], eth0: undefined }),
    ).toEqual([]);
  });
});

describe("listUrls", () => {
  const interfaces = { lo: [loopback], wlan0: [v4("192.168.4.5"), v6("fd12:3456::5")] };

  it("lists all when bound to all, in brackets for IPv6", () => {
    const all = ["http://192.168.4.5:8080", "http://[fd12:3456::5]:8080"];
    expect(listUrls(interfaces, { port: 8080, scheme: "http" })).toEqual(all);
    expect(listUrls(interfaces, { port: 8080, scheme: "http", host: "::" })).toEqual(all);
    expect(listUrls(interfaces, { port: 8080, scheme: "http", host: "0.0.0.0" })).toEqual(all.slice(0, 1));
  });

  it("lists only the host that it is bound to", () => {
    expect(listUrls(interfaces, { port: 80, scheme: "http", host: "192.168.4.5" })).toEqual([
      "http://192.168.4.5",
    ]);
    expect(listUrls(interfaces, { port: 443, scheme: "https", host: "::1" })).toEqual(["https://[::1]"]);
  });

  it("falls back to this machine alone where there is no network", () => {
    expect(listUrls({ lo: [loopback] }, { port: 8080, scheme: "http" })).toEqual(["http://localhost:8080"]);
  });

  it("writes the port unless it is the scheme's own", () => {
    expect(siteUrl("10.0.0.2", 443, "http")).toBe("http://10.0.0.2:443");
    expect(siteUrl("10.0.0.2", 443, "https")).toBe("https://10.0.0.2");
  });
});

describe("addresses", () => {
  it("are known by their ranges, at the very edges too", () => {
    expect(scopeOf("172.15.255.255")).toBe("public");
    expect(scopeOf("172.16.0.0")).toBe("private");
    expect(scopeOf("172.31.255.255")).toBe("private");
    expect(scopeOf("172.32.0.0")).toBe("public");
    expect(scopeOf("100.63.255.255")).toBe("public");
    expect(scopeOf("100.64.0.0")).toBe("shared");
    expect(scopeOf("fdff::1")).toBe("private");
    expect(scopeOf("fe80::1")).toBe("link-local");
    expect(scopeOf("febf::1")).toBe("link-local");
    expect(scopeOf("fec0::1")).toBe("public");
    expect(scopeOf("::1")).toBe("loopback");
    expect(() => scopeOf("hub.local")).toThrow(RangeError);
  });

  it("of the machine include loopback and link-local ones, without their zones", () => {
    expect(ownAddresses({ lo: [loopback], wlan0: [v6("fe80::1%wlan0")] })).toEqual(["127.0.0.1", "fe80::1"]);
  });
});
