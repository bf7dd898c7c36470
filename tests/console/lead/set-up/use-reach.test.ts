import { describe, expect, it } from "vitest";
import { atBestOrigin } from "../../../../console/lead/set-up/use-network.ts";

const LINK = "http://192.168.1.4:8620/rig#west.token";
const NAMED = ["https://hub.group.example:8620", "https://192.168.1.4:8620"];

describe("a printed link", () => {
  it("is by https where the group has a certificate of its own that covers an address", () => {
    expect(atBestOrigin(LINK, { tier: "own certificate", secureOrigins: NAMED })).toBe(
      "https://hub.group.example:8620/rig#west.token",
    );
    expect(atBestOrigin(LINK, { tier: "own certificate", secureOrigins: [] })).toBe(LINK);
  });

  it("stays by plain http where phones would first have to trust the hub, or know nothing yet", () => {
    expect(atBestOrigin(LINK, { tier: "local authority", secureOrigins: NAMED })).toBe(LINK);
    expect(atBestOrigin(LINK, { tier: "none", secureOrigins: [] })).toBe(LINK);
    expect(atBestOrigin(LINK, null)).toBe(LINK);
  });
});
