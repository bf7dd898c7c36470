/** Which sky's list is worked at, and what differs there, each with the tap that takes it back. */
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Edit } from "../../../../shared/plan/model/edit.ts";
import { SKIES, type Sky } from "../../../../shared/run/vocabulary.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { editSentence } from "./edit-sentence.ts";

export function SkyChoice(props: { sky: Sky; count: (sky: Sky) => number; choose: (sky: Sky) => void }) {
  return (
    <fieldset className="sky-choice">
      <legend className="only-read-aloud">{t("cues.sky")}</legend>
      {SKIES.map((sky) => {
        const differing = sky === "clear" ? 0 : props.count(sky);
        return (
          <button
            key={sky}
            type="button"
            className="sky-choice__one"
            data-action="work-at-sky"
            data-sky={sky}
            aria-pressed={sky === props.sky}
            onClick={() => props.choose(sky)}
          >
            {t(`lead.variant.${sky}`)}
            {differing > 0 && <span className="figures">{t("cues.sky.plus", { count: differing })}</span>}
          </button>
        );
      })}
    </fieldset>
  );
}

interface DifferencesProps {
  sky: Sky;
  edits: readonly Edit[];
  base: readonly Cue[];
  list: readonly Cue[];
  takeBack: (edit: Edit) => void;
}

export function Differences({ sky, edits, base, list, takeBack }: DifferencesProps) {
  const clear = sky === "clear";
  const count = edits.length;
  if (count === 0)
    return <p className="soft">{t(clear ? "cues.differs.usualNone" : "cues.differs.clearNone")}</p>;
  const said = (
    <ul className="differences">
      {edits.map((edit) => {
        const sentence = editSentence(edit, base, list);
        return (
          <li key={`${edit.do} ${edit.cueId}`} data-difference={edit.do} data-of={edit.cueId}>
            <span>{sentence}</span>
            <Button
              action="take-back"
              kind="quiet"
              label={t("cues.takeBackThis", { what: sentence })}
              onClick={() => takeBack(edit)}
            >
              {t("cues.takeBack")}
            </Button>
          </li>
        );
      })}
    </ul>
  );
  const title = t(clear ? "cues.differs.usual" : "cues.differs.clear", { count });
  // A sky's list is what differs; the clear one is read as it is, and this is behind a tap.
  if (clear)
    return (
      <details className="differences__fold">
        <summary data-action="differences">{title}</summary>
        {said}
      </details>
    );
  return (
    <section>
      <h4>{title}</h4>
      {said}
    </section>
  );
}
