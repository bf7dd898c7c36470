/** Who takes part, rig by rig: a person's phone, or a simulated operator; and what is really capped (S8). */
import type { Rig } from "../../../shared/plan/model/plan.ts";
import { t } from "../../words/words.ts";

export interface People {
  played: ReadonlySet<string>;
  safe: ReadonlySet<string>;
}

interface PeopleFieldProps {
  rigs: readonly Pick<Rig, "id" | "name" | "operator" | "filter">[];
  linked: ReadonlySet<string>;
  sunUp: boolean;
  value: People;
  onChange: (value: People) => void;
}

export function PeopleField({ rigs, linked, sunUp, value, onChange }: PeopleFieldProps) {
  const tick = (part: keyof People, rigId: string, on: boolean) => {
    const next = new Set(value[part]);
    if (on) next.add(rigId);
    else next.delete(rigId);
    onChange({ ...value, [part]: next });
  };
  const box = (part: keyof People, rigId: string, label: string) => (
    <label className="practice-people__tick">
      <input
        type="checkbox"
        name={part}
        data-rig={rigId}
        checked={value[part].has(rigId)}
        onChange={(event) => tick(part, rigId, event.target.checked)}
      />
      {label}
    </label>
  );
  return (
    <fieldset className="practice-people">
      <legend>{t("practise.people")}</legend>
      <ul>
        {rigs.map(({ id, name, operator, filter }) => (
          <li key={id} data-rig={id} data-linked={linked.has(id)}>
            <span className="practice-people__name">
              <bdi>{[name, operator].filter(Boolean).join(" · ")}</bdi>
              <span className="soft">{t(linked.has(id) ? "practise.linkedYes" : "practise.linkedNo")}</span>
            </span>
            {box("played", id, t("practise.play"))}
            {filter === "none by design" ? <span /> : box("safe", id, t("practise.capped"))}
          </li>
        ))}
      </ul>
      <p className="soft">{t("practise.playSays")}</p>
      <p className="soft">{t(sunUp ? "practise.cappedSays" : "practise.sunDown")}</p>
    </fieldset>
  );
}
