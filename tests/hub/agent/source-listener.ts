/** Stands where the agent does: what a source said last, by instrument, and what it told. */
import type { Saying, SourcePorts } from "../../../hub/agent/source.ts";
import { Voices } from "../../../hub/agent/voices.ts";
import type { Instrument } from "../../../shared/run/facts/instrument-fields.ts";

export function listener() {
  const said: Partial<Record<Instrument, Saying>> = {};
  const lines: string[] = [];
  const voices = new Voices();
  const ports: SourcePorts = {
    mono: () => performance.now(),
    utcMs: () => Date.now(),
    utcBoundMs: () => 5,
    say: (instrument, saying, device = "") => {
      said[instrument] = voices.hear(instrument, saying, device);
    },
    forget: (device) => {
      for (const { instrument, saying } of voices.forget(device)) said[instrument] = saying;
    },
    tell: (line) => lines.push(line),
  };
  return { said, lines, ports };
}
