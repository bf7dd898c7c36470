/**
 * A system that says it is synchronised, as the tools of a laptop with a network would: a hub in a
 * test's own process then knows its clock whatever the machine of the tests can tell.
 */
import {
  type HubClockPorts,
  readTogether,
  type SourceReport,
  type TimeSource,
} from "../../hub/clock/ports.ts";
import { SYNCHRONISED_BOUND_MS } from "../../hub/clock/sources/system-report.ts";

export class SynchronisedSystem implements TimeSource {
  readonly id = "system";
  readonly kind = "system";

  constructor(private readonly ports: HubClockPorts) {}

  start(report: (r: SourceReport) => void): void {
    const { mono, value: wall } = readTogether(this.ports.clock, () => this.ports.clock.wall());
    const estimate = { offsetMs: wall - mono, boundMs: SYNCHRONISED_BOUND_MS, atMono: mono };
    report({ id: this.id, kind: this.kind, state: "good", detail: "told by the test", estimate });
  }

  stop(): void {
    // It says it once.
  }
}
