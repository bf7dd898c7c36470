/** Why the hub did not do what was asked, read aloud as it comes; nothing without a problem. */
import type { Problem } from "./hub-api.ts";
import { problemText } from "./problem-text.ts";

export function ProblemLine({ problem }: { problem: Problem | null | undefined }) {
  if (!problem) return null;
  return (
    <p className="says says--wrong" role="alert">
      {problemText(problem)}
    </p>
  );
}
