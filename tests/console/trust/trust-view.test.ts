import { describe, expect, it } from "vitest";
import type { NetworkAnswer } from "../../../console/link/network-answer.ts";
import { readFragment } from "../../../console/rig/join/read-fragment.ts";
import {
  type Browser,
  canAsk,
  fingerprintLines,
  gainsOf,
  nowOf,
  rigUrl,
  secureOriginFor,
} from "../../../console/trust/trust-view.ts";

const trusted: Browser = {
  protocol: "https:",
  secureContext: true,
  opens: "by reload",
  wakeLock: true,
  geolocation: true,
};

const network: NetworkAnswer = {
  origins: ["http://192.168.1.4:8620", "http://10.0.0.2:8620"],
  secureOrigins: ["https://192.168.1.4:8620", "https://10.0.0.2:8620"],
  tier: "local authority",
  authorityFingerprint: "AA",
  names: [],
};

describe("what a phone has now", () => {
  // Secure Contexts (W3C), 3.1: http is potentially trustworthy on loopback only.
  it.each([
    ["http", { protocol: "http:", secureContext: false }],
    ["own", { protocol: "http:", secureContext: true }],
    ["checking", { opens: "not yet" }],
    ["unverified", { opens: "by address" }],
    ["trusted", {}],
  ] as const)("is %s", (now, change) => {
    expect(nowOf({ ...trusted, ...change })).toBe(now);
  });

  it("is nothing but the cues on plain http, whatever the browser could do elsewhere", () => {
    const gains = gainsOf({ ...trusted, protocol: "http:", secureContext: false, opens: "by address" });
    expect(gains.filter(([, has]) => has === "yes").map(([gain]) => gain)).toEqual(["cues"]);
  });

  it("claims no reload while files are still being fetched, nor a wake lock that the browser lacks", () => {
    const gains = Object.fromEntries(gainsOf({ ...trusted, opens: "not yet", wakeLock: false }));
    expect(gains).toMatchObject({ reload: "wait", screen: "no", place: "yes" });
  });
});

describe("the way on", () => {
  it("stays at the host by which the phone came, else takes the hub's best", () => {
    const to = (hostname: string, secureOrigins = network.secureOrigins) =>
      secureOriginFor(hostname, `${hostname}:8620`, { ...network, secureOrigins });
    expect(to("10.0.0.2")).toBe("https://10.0.0.2:8620");
    expect(to("hub.local")).toBe("https://192.168.1.4:8620");
    expect(to("10.0.0.2", [])).toBeNull();
    // One that can be tried comes before one that cannot; one that cannot is better than none.
    expect(to("10.0.0.2", ["https://[fd00::4]:8620", "https://192.168.1.4:8620"])).toBe(
      "https://192.168.1.4:8620",
    );
    expect(to("10.0.0.2", ["https://[fd00::4]:8620"])).toBe("https://[fd00::4]:8620");
  });

  // CSP level 3, host-source: no grammar for IPv6 addresses; 'self' stands for the same host and port.
  it("asks an IPv6 address only from that address itself", () => {
    expect(canAsk("https://[fd00::4]:8620", "192.168.1.4:8620")).toBe(false);
    expect(canAsk("https://[fd00::4]:8620", "[fd00::4]:8620")).toBe(true);
    expect(canAsk("https://[fd00::4]:8621", "[fd00::4]:8620")).toBe(false);
    expect(canAsk("https://192.168.1.4:8620", "[fd00::4]:8620")).toBe(true);
  });

  it("carries every rig in the form that the rig page reads", () => {
    const rigs = [
      { id: "west", token: "abcdefgh_1" },
      { id: "wide-2", token: "ijklmnop-2" },
    ];
    const url = rigUrl("https://10.0.0.2:8620", rigs);
    expect(readFragment(new URL(url).hash)).toEqual({ rigs, bad: [] });
    expect(rigUrl("", [])).toBe("/rig");
  });
});

it("a fingerprint of 32 bytes stands in four lines", () => {
  const bytes = Array.from({ length: 32 }, (_, n) => n.toString(16).padStart(2, "0").toUpperCase());
  const lines = fingerprintLines(bytes.join(":"));
  expect(lines).toHaveLength(4);
  expect(lines.join(" ").split(" ")).toEqual(bytes);
});
