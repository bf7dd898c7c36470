/** Stands where the agent does: what a source said last, by instrument, and what it told. */
import type { Saying, SourcePorts } from "../../../hub/agent/source.ts";
import type { Instrument } from "../../../shared/run/facts/instrument-fields.ts";

export function listener() {
  const said: Partial<Record<Instrument, Saying>> = {};
  const lines: string[] = [];
  const ports: SourcePorts = {
    mono: () => performance.now(),
    utcMs: () => Date.now(),
    utcBoundMs: () => 5,
    say: (instrument, saying) => {
      said[instrument] = { ...said[instrument], ...saying };
    },
    tell: (line) => lines.push(line),
  };
  return { said, lines, ports };
}
