/** The sources as rows for people: what each says, how it stands to the one that is followed. */
import type { MonoMs } from "../../shared/time/instants.ts";
import { type Choice, type Claim, sourceKind } from "./choose.ts";
import type { SourceStatus } from "./hub-clock-status.ts";
import type { Ledger } from "./ledger.ts";
import type { SourceReport } from "./ports.ts";

/** `lacksMs`: what the eclipse clock lacks against a claim; `stepped`: a step waits for an answer. */
export function sourceTable(
  { reports, marks }: Pick<Ledger, "reports" | "marks">,
  claims: readonly Claim[],
  choice: Choice,
  stepped: boolean,
  mono: MonoMs,
  lacksMs: (claim: Claim) => number,
): SourceStatus[] {
  const rows: SourceReport[] = [...reports.values()];
  if (marks.length > 0)
    rows.push({ id: "hand", kind: "hand", state: "good", detail: `marks: ${marks.length}` });
  const kept = claims.find((c) => c.id === "kept");
  if (kept)
    rows.push({ id: "kept", kind: sourceKind(kept), state: "good", detail: "from before the restart" });
  return rows.map((r) => {
    const claim = claims.find((c) => c.id === r.id);
    let state = r.state;
    if (r.kind === "system" && stepped) state = "stepped";
    else if (claim && choice.disagreeing.includes(r.id)) state = "disagrees";
    else if (claim && r.id === choice.chosen?.id) state = "inUse";
    const at = r.kind === "hand" ? marks[marks.length - 1]?.atMono : r.estimate?.atMono;
    return {
      id: r.id,
      kind: r.kind,
      offsetMs: claim ? lacksMs(claim) : null,
      boundMs: claim ? claim.boundMs : null,
      ageS: at === undefined ? null : (mono - at) / 1000,
      state,
      detail: r.detail,
    };
  });
}
