/**
 * A pair of hands around a contact, drawn: one line a task in the order in which they are done, time
 * from left to right in every language, the contact an upright through all of them.
 */
import type { Plan } from "../../../../shared/plan/model/plan.ts";
import { offsetWords } from "../../../parts/words-for-anchor.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t } from "../../../words/words.ts";
import { wordsOfCue } from "../check/names-in-plan.ts";
import type { Strip } from "./strip-layout.ts";

export function HandsStrip(props: { strip: Strip; anchor: "C2" | "C3"; plan: Plan }) {
  const { strip, anchor, plan } = props;
  const { blocks, contactAt, marks } = strip;
  return (
    <figure className="hands-strip" data-strip={anchor}>
      <figcaption>{t("hands.around", { anchor })}</figcaption>
      <ol className="hands-strip__rows">
        {blocks.map((block) => {
          const { rig, words } = wordsOfCue(plan, block);
          const when = offsetWords(anchor, block.startS);
          return (
            <li
              key={`${block.rigId}/${block.cueId}/${block.startS}`}
              className="hands-strip__row"
              data-task={`${block.rigId}/${block.cueId}`}
              data-undone={block.undone}
            >
              <span className="hands-strip__words">
                <strong>{rig}</strong> {words}{" "}
                {block.with.length > 0 && <span>{t("helpers.with", { names: block.with.join(", ") })} </span>}
                {block.undone ? (
                  <em>{t("hands.leftUndone")}</em>
                ) : (
                  <span className="hands-strip__aloud">{`${when}, ${lengthWords(block.endS - block.startS)}`}</span>
                )}
              </span>
              <span className="hands-strip__track" dir="ltr" aria-hidden="true">
                <span className="hands-strip__contact" style={{ insetInlineStart: `${contactAt}%` }} />
                <span
                  className="hands-strip__block"
                  title={when}
                  style={{ insetInlineStart: `${block.from}%`, inlineSize: `${block.width}%` }}
                />
              </span>
            </li>
          );
        })}
      </ol>
      <div className="hands-strip__scale figures" dir="ltr" aria-hidden="true">
        {marks.map(({ s, at }) => (
          <span key={s} style={{ insetInlineStart: `${at}%` }} data-contact={s === 0}>
            {s === 0 ? anchor : lengthWords(Math.abs(s))}
          </span>
        ))}
      </div>
    </figure>
  );
}
