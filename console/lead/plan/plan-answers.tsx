/** What came of saving the plan: another lead's change, a rule that forbids it, or notes. */

import type { Plan } from "../../../shared/plan/model/plan.ts";
import type { PlanNote } from "../../../shared/plan/plan-note.ts";
import type { Finding } from "../../../shared/plan/safety/finding.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import { offsetWords } from "../../parts/words-for-anchor.ts";
import { isWordKey, t, type WordValues } from "../../words/words.ts";
import { Button } from "../shell/button.tsx";
import { personOf } from "../shell/person-of.ts";
import { problemText, ruleText } from "../shell/problem-text.ts";
import type { PlanChange, PlanEditor } from "./use-plan-editor.ts";

interface PlanAnswersProps {
  editor: PlanEditor;
  /** The change that was last tried, to be saved on top of another lead's. */
  change: PlanChange;
  /** Called with the fresh plan when the lead takes the other's. */
  onReloaded?: () => void;
  onSaved?: () => void;
  /** S14: a lead puts their name to a rule that protects equipment. */
  onAcknowledge?: (finding: Finding) => void;
}

export function PlanAnswers(props: PlanAnswersProps) {
  const { editor } = props;
  const { conflict, problem, notes } = editor;
  const findings = findingsOf(problem?.data);
  const askable = findings.find((one) => one.severity === "acknowledge");
  return (
    <div className="plan-answers" aria-live="polite">
      {conflict && (
        <AlertLine
          priority="caution"
          announce
          title={t("lead.conflict.title", {
            who: conflict.by ? personOf(conflict.by) : t("lead.conflict.somebody"),
          })}
          detail={t("lead.conflict.says")}
        >
          <div className="plan-answers__two" data-conflict={conflict.revision}>
            <Button
              action="take-theirs"
              onClick={async () => {
                await editor.reload();
                props.onReloaded?.();
              }}
            >
              {t("lead.conflict.reload")}
            </Button>
            <Button
              action="save-over"
              onClick={async () => {
                if (await editor.saveOver(props.change)) props.onSaved?.();
              }}
            >
              {t("lead.conflict.over")}
            </Button>
          </div>
        </AlertLine>
      )}
      {problem && (
        <div data-problem={problem.code} data-rule={problem.rule ?? ""} data-field={problem.field ?? ""}>
          <AlertLine
            priority={problem.code === "safety-rule" ? "danger" : "caution"}
            announce
            title={problemText(problem)}
            detail={findings.map((one) => findingText(one)).join(" ") || problem.field}
          >
            {askable && props.onAcknowledge && findings.every((one) => one.severity === "acknowledge") ? (
              <Button action="acknowledge-rule" onClick={() => props.onAcknowledge?.(askable)}>
                {t("lead.acknowledge")}
              </Button>
            ) : null}
          </AlertLine>
        </div>
      )}
      {notes.length > 0 && !problem && !conflict && (
        <ul className="plan-answers__notes">
          {notes.map((note) => (
            <li key={`${note.code}-${note.rigId}-${note.cueId ?? ""}-${note.field ?? ""}`}>
              {noteText(note, editor.base)}
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}

function findingsOf(data: Readonly<Record<string, unknown>> | undefined): Finding[] {
  return Array.isArray(data?.findings) ? (data.findings as Finding[]) : [];
}

/** As much of a finding as its sentence needs, wherever it was found. */
type SaidFinding = Pick<Finding, "sentence"> & { code: string; rule: string; data: WordValues };

/** A finding in words: what is wrong with which rig; else the sentence of its rule. */
export function findingText(finding: SaidFinding): string {
  const key = `finding.${finding.code}`;
  return isWordKey(key) ? t(key, valuesOf(finding)) : ruleText(finding.rule, finding.sentence);
}

/** A limit is said as people say it: "20 s before C2". */
function valuesOf({ code, data }: SaidFinding): WordValues {
  const { limitS } = data;
  if (typeof limitS !== "number") return data;
  return { ...data, limit: offsetWords(code === "filter-off-too-early" ? "C2" : "C3", limitS) };
}

/** What a save did besides what was asked, as a sentence. */
export function noteText(note: PlanNote, plan: Pick<Plan, "rigs"> | null): string {
  const key = `plan-note.${note.code}`;
  const rig = plan?.rigs.find((one) => one.id === note.rigId)?.name ?? note.rigId;
  const values: WordValues = { rig, cue: note.cueId ?? "", ...note.data };
  return isWordKey(key) ? t(key, values) : note.code;
}
