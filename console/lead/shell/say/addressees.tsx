/** To whom: every rig, those that are ticked, or one. */
import { t } from "../../../words/words.ts";
import type { RunNow } from "../use-run.ts";

interface AddresseesProps {
  now: RunNow;
  /** Whether marshals are meant, too; left out where they cannot be. */
  marshals?: boolean;
  onMarshals?: (meant: boolean) => void;
  /** Null for every rig. */
  rigIds: readonly string[] | null;
  onChange: (rigIds: readonly string[] | null) => void;
}

export function Addressees({ now, marshals, onMarshals, rigIds, onChange }: AddresseesProps) {
  const { rigs } = now.state.plan;
  const toggle = (id: string) =>
    onChange(rigIds?.includes(id) ? rigIds.filter((one) => one !== id) : [...(rigIds ?? []), id]);
  return (
    <fieldset className="addressees" data-addressees={rigIds === null ? "all" : rigIds.length}>
      <legend>{t("lead.to.label")}</legend>
      <label className="addressees__one">
        <input
          type="checkbox"
          name="to-all"
          checked={rigIds === null}
          onChange={() => onChange(rigIds === null ? [] : null)}
        />
        {t("lead.to.all")}
      </label>
      {rigs.map(({ id, name, operator }) => (
        <label key={id} className="addressees__one">
          <input
            type="checkbox"
            name={`to-${id}`}
            checked={rigIds === null || rigIds.includes(id)}
            disabled={rigIds === null}
            onChange={() => toggle(id)}
          />
          {operator ? `${operator} (${name})` : name}
        </label>
      ))}
      {onMarshals && (
        <label className="addressees__one">
          <input
            type="checkbox"
            name="to-marshals"
            checked={marshals === true}
            onChange={() => onMarshals(!marshals)}
          />
          {t("lead.marshals.title")}
        </label>
      )}
    </fieldset>
  );
}
