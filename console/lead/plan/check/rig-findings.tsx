/** What the check says of one rig, each in a sentence; what would be refused first. */
import type { AssessedFinding } from "../../../../shared/plan/assess/assess-plan.ts";
import { AlertShape } from "../../../parts/alert-shape.tsx";
import { assessedText } from "./finding-words.ts";
import "./rig-findings.css";

const RANK = { refused: 0, acknowledge: 1, advice: 2 } as const;

export function RigFindings(props: { findings: readonly AssessedFinding[] }) {
  const { findings } = props;
  if (findings.length === 0) return null;
  const ranked = [...findings].sort((a, b) => RANK[a.severity] - RANK[b.severity]);
  return (
    <ul className="rig-findings">
      {ranked.map((one) => (
        <li
          key={`${one.code}-${one.field ?? ""}`}
          data-finding={one.code}
          data-severity={one.severity}
          data-cue={one.cueId ?? ""}
        >
          <AlertShape priority={one.severity === "refused" ? "danger" : "caution"} />
          <span>{assessedText(one)}</span>
        </li>
      ))}
    </ul>
  );
}
