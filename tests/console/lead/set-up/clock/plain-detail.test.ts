/** Technical texts as the hub's sources write them (hub/clock/sources); error names are those of POSIX. */
import { describe, expect, it } from "vitest";
import { plainDetail } from "../../../../../console/lead/set-up/clock/plain-detail.ts";

describe("why a source of time is as it is, in plain words", () => {
  it.each([
    ["gps", "unreachable", "127.0.0.1:2947: connect ECONNREFUSED 127.0.0.1:2947", "lead.clock.why.gpsAbsent"],
    ["gps", "unreachable", "127.0.0.1:2947: silent", "lead.clock.why.gpsGone"],
    ["gps", "good", "pulse per second", "lead.clock.why.gpsPulse"],
    ["gps", "good", "messages only, no pulse", "lead.clock.why.gpsNoPulse"],
    ["gps", "noFix", "no fix yet", null],
    ["ntp", "unreachable", "no answer", "lead.clock.why.noAnswer"],
    ["ntp", "unreachable", "name not found", "lead.clock.why.noName"],
    ["ntp", "unreachable", "connect ENETUNREACH 192.0.2.1:123", "lead.clock.why.noNetwork"],
    ["ntp", "unreachable", "kissRate", "lead.clock.why.askedTooOften"],
    ["ntp", "refused", "kissDeny", "lead.clock.why.refuses"],
    ["ntp", "good", "stratum 2, delay 23.1 ms", null],
    ["system", "unsynchronised", "chrony: not synchronised", "lead.clock.why.notSet"],
    ["system", "inUse", "system: not synchronised", "lead.clock.why.notSet"],
    ["system", "inUse", "the system does not say", "lead.clock.why.notSaid"],
    ["system", "unknown", "the system does not say", "lead.clock.why.notSaid"],
    ["system", "good", "chrony: stratum 3, ±4.1 ms", null],
    ["hand", "good", "marks: 3", null],
    ["ntp", "good", "from before the restart", "lead.clock.why.kept"],
  ] as const)("%s, %s, %j", (kind, state, detail, key) => {
    expect(plainDetail({ kind, state, detail })).toBe(key);
  });
});
