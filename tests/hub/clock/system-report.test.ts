import { describe, expect, test } from "vitest";
import type { SourceReport } from "../../../hub/clock/ports.ts";
import { type RunTool, SystemClock } from "../../../hub/clock/sources/system-clock.ts";
import { readChronyTracking, readTimedatectl, readW32tm } from "../../../hub/clock/sources/system-report.ts";
import { Machine } from "./machine.ts";

describe("what the tools say", () => {
  // Field order: chronyc(1), "tracking" with -c. Bound: the manual's rule, |system time| + root
  // dispersion + root delay / 2 (RFC 5905 section 11.2.1); worked by hand.
  test("chrony's tracking gives offset, root dispersion and half the root delay", () => {
    const line =
      "C0A80001,192.168.0.1,3,1817199000.123456789,0.000123456,-0.000020000,0.000456000,12.345,0.010,0.200,0.012000000,0.001500000,64.2,Normal\n";
    const says = readChronyTracking(line);
    expect(says?.state).toBe("good");
    expect(says?.boundMs).toBeCloseTo(0.123456 + 1.5 + 6 + 1, 4);
  });

  test("a chrony that follows nothing says so", () => {
    const line = "7F7F0101,,0,0.000000000,0.0,0.0,0.0,0.0,0.0,0.0,1.0,1.0,0.0,Not synchronised";
    expect(readChronyTracking(line)?.state).toBe("unsynchronised");
  });

  test("timedatectl's yes and no", () => {
    expect(readTimedatectl("NTPSynchronized=yes\n")).toMatchObject({ state: "good", boundMs: 250 });
    expect(readTimedatectl("NTPSynchronized=no\n")).toMatchObject({ state: "unsynchronised", boundMs: null });
  });

  test("w32tm's status gives root delay and dispersion, never better than 50 ms", () => {
    const text = (leap: number, dispersion: string) =>
      `Leap Indicator: ${leap}(x)\nStratum: 4\nRoot Delay: 0.0312500s\nRoot Dispersion: ${dispersion}s\n`;
    expect(readW32tm(text(0, "0.2000000"))?.boundMs).toBeCloseTo(215.625, 3);
    expect(readW32tm(text(0, "0.0010000"))?.boundMs).toBe(50);
    expect(readW32tm(text(3, "10.0000000"))?.state).toBe("unsynchronised");
  });

  test("anything else says nothing", () => {
    for (const read of [readChronyTracking, readTimedatectl, readW32tm])
      for (const text of ["", "506 Cannot talk to daemon", "a,b,c", "Stratum: 4", ",,,,,,,,,,,,,"])
        expect(read(text)).toBeNull();
  });
});

describe("asking the system", () => {
  const ask = async (platform: NodeJS.Platform, answers: Record<string, string | null>) => {
    const asked: string[] = [];
    const run: RunTool = async (command) => {
      asked.push(command);
      return answers[command] ?? null;
    };
    const reports: SourceReport[] = [];
    await new SystemClock(new Machine().ports, run, platform).ask((r) => reports.push(r));
    return { asked, report: reports[0] };
  };

  test("a machine that puts the program aside between its clocks is read again", async () => {
    const machine = new Machine();
    let pauses = 3;
    const { clock } = machine.ports;
    const wall = () => {
      const seen = clock.wall();
      if (pauses-- > 0) machine.run(250);
      return seen;
    };
    const mono = () => {
      if (pauses > 1) machine.run(250);
      return clock.mono();
    };
    const ports = { ...machine.ports, clock: { mono, wall } };
    const reports: SourceReport[] = [];
    const run: RunTool = async () => "NTPSynchronized=yes";
    await new SystemClock(ports, run, "linux").ask((r) => reports.push(r));
    expect(pauses).toBeLessThan(0);
    const { offsetMs = 0, atMono = 0 } = reports[0]?.estimate ?? {};
    expect(offsetMs + atMono).toBe(machine.utc);
  });

  test("Linux asks chrony first, then systemd", async () => {
    const { asked, report } = await ask("linux", { timedatectl: "NTPSynchronized=yes" });
    expect(asked).toEqual(["chronyc", "timedatectl"]);
    expect(report).toMatchObject({ state: "good", estimate: { boundMs: 250 } });
  });

  test("a system that says it is not synchronised gives no estimate", async () => {
    const { report } = await ask("linux", { timedatectl: "NTPSynchronized=no" });
    expect(report).toMatchObject({ state: "unsynchronised", detail: "system: not synchronised" });
    expect(report?.estimate).toBeUndefined();
  });

  test("where nobody knows the state is unknown, without an estimate", async () => {
    for (const platform of ["linux", "darwin", "win32", "freebsd"] as const) {
      const { report } = await ask(platform, {});
      expect(report).toMatchObject({ kind: "system", state: "unknown" });
      expect(report?.estimate).toBeUndefined();
    }
  });

  test("on this machine it answers, whatever is installed", async () => {
    const reports: SourceReport[] = [];
    await new SystemClock(new Machine().ports).ask((r) => reports.push(r));
    expect(["good", "unsynchronised", "unknown"]).toContain(reports[0]?.state);
  });
});
