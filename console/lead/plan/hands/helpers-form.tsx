/** What of a person's work takes two, or a tool that is there once for the whole site. */
import "../../../words/bundles/prepare.ts";
import { useId, useState } from "react";
import { lengthOf } from "../../../../shared/fields/text.ts";
import { type Cue, CueSchema } from "../../../../shared/plan/model/cue.ts";
import type { Plan, Rig } from "../../../../shared/plan/model/plan.ts";
import { CheckField } from "../../../forms/check-field.tsx";
import { TextField } from "../../../forms/text-field.tsx";
import { cueWords } from "../../../parts/words-for-cue.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { PlanChange } from "../use-plan-editor.ts";

const TOOL_MOST = lengthOf(CueSchema.entries.tool);

interface HelpersFormProps {
  plan: Plan;
  rigIds: readonly string[];
  busy: boolean;
  save: (change: PlanChange) => void;
}

export function HelpersForm({ plan, rigIds, busy, save }: HelpersFormProps) {
  const id = useId();
  const rigs = plan.rigs.filter((rig) => rigIds.includes(rig.id));
  const choices = rigs.flatMap((rig) =>
    rig.cues.filter(({ on, handsS }) => on && handsS > 0).map((cue) => ({ rig, cue })),
  );
  const bound = choices.filter(({ cue }) => cue.people === 2 || cue.tool !== undefined);
  const [chosen, setChosen] = useState("");
  const at = choices.find(({ rig, cue }) => keyOf(rig, cue) === chosen) ?? null;
  const [two, setTwo] = useState(false);
  const [tool, setTool] = useState("");
  const choose = (key: string) => {
    setChosen(key);
    const cue = choices.find((one) => keyOf(one.rig, one.cue) === key)?.cue;
    setTwo(cue?.people === 2);
    setTool(cue?.tool ?? "");
  };
  if (choices.length === 0) return null;
  return (
    <details className="helpers" data-part="helpers">
      <summary data-action="helpers">{t("helpers.title", { count: bound.length })}</summary>
      <p className="soft">{t("helpers.says")}</p>
      {bound.length > 0 && (
        <ul>
          {bound.map(({ rig, cue }) => (
            <li key={keyOf(rig, cue)} data-bound={keyOf(rig, cue)}>
              <strong>{rig.name}</strong> {cueWords(cue)} <em>{boundText(cue)}</em>
            </li>
          ))}
        </ul>
      )}
      <div className="helpers__fields">
        <div className="labelled">
          <label htmlFor={id}>{t("helpers.which")}</label>
          <select
            id={id}
            name="helper-cue"
            className="field"
            value={at ? chosen : ""}
            onChange={(event) => choose(event.target.value)}
          >
            <option value="">{t("helpers.choose")}</option>
            {choices.map(({ rig, cue }) => (
              <option key={keyOf(rig, cue)} value={keyOf(rig, cue)}>
                {`${rig.name}: ${cueWords(cue)}`}
              </option>
            ))}
          </select>
        </div>
        <CheckField name="two-people" label="helpers.two" value={two} disabled={!at} change={setTwo} />
        <TextField name="tool" label="helpers.tool" value={tool} most={TOOL_MOST} change={setTool} />
        <Button
          action="save-helpers"
          disabled={!at || busy}
          onClick={() => at && save((now) => withNeeds(now, at.rig.id, at.cue.id, two, tool.trim()))}
        >
          {t("helpers.save")}
        </Button>
      </div>
    </details>
  );
}

function keyOf({ id }: Pick<Rig, "id">, cue: Pick<Cue, "id">): string {
  return `${id}/${cue.id}`;
}

function boundText({ people, tool }: Cue): string {
  const says = [
    people === 2 ? t("helpers.takesTwo") : "",
    tool === undefined ? "" : t("helpers.needs", { tool }),
  ];
  return says.filter(Boolean).join(" ");
}

/** The plan with what one cue takes; only that cue is touched. */
function withNeeds(plan: Plan, rigId: string, cueId: string, two: boolean, tool: string): Plan {
  const needs = (cue: Cue): Cue => {
    const { people: _people, tool: _tool, ...rest } = cue;
    return { ...rest, ...(two && { people: 2 as const }), ...(tool !== "" && { tool }) };
  };
  return {
    ...plan,
    rigs: plan.rigs.map((rig) =>
      rig.id === rigId ? { ...rig, cues: rig.cues.map((cue) => (cue.id === cueId ? needs(cue) : cue)) } : rig,
    ),
  };
}
