/** All that is known of a rig's state, with who said it: a person, or which instrument. */
import "../../../words/bundles/instruments.ts";
import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { PracticeStarted } from "../../../../shared/run/events.ts";
import { INSTRUMENT_FIELD_NAMES } from "../../../../shared/run/facts/instrument-fields.ts";
import { newest, type Register } from "../../../../shared/run/facts/registers.ts";
import { STATE_FIELDS } from "../../../../shared/run/facts/reported-fields.ts";
import { runTime } from "../../../../shared/run/run-time.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { isInstrument, saidText } from "./said-text.ts";

interface Fact {
  field: Parameters<typeof saidText>[0];
  word: Register<unknown>;
  /** The other side's word where person and instrument differ. */
  other: Register<unknown> | undefined;
}

export function RigFacts({ status, practice }: { status: RigStatus; practice: PracticeStarted | null }) {
  const facts = factsOf(status);
  if (facts.length === 0) return null;
  const text = ({ field }: Fact, word: Register<unknown>) => saidText(field, word.value, practice);
  return (
    <dl className="rig-panel__facts">
      {facts.map((fact) => (
        <div
          key={fact.field}
          data-fact={fact.field}
          data-by={isInstrument(fact.word) ? "instrument" : "person"}
        >
          <dt>{t(`fact.${fact.field}`)}</dt>
          <dd>
            <bdi>{text(fact, fact.word)}</bdi>
            {isInstrument(fact.word) && <small> {byline(fact.word, practice)}</small>}
            {fact.other && (
              <small className="rig-panel__other" data-differs>
                {" "}
                {t("fact.other", { who: byline(fact.other, practice), value: text(fact, fact.other) })}
              </small>
            )}
          </dd>
        </div>
      ))}
    </dl>
  );
}

function factsOf({ record }: RigStatus): Fact[] {
  const both = STATE_FIELDS.flatMap((field): Fact[] => {
    const [person, instrument] = [
      record[field] as Register<unknown> | undefined,
      ownValue(record.instruments, field),
    ];
    const word = newest(person, instrument);
    if (!word) return [];
    const other = word === person ? instrument : person;
    return [{ field, word, other: other && other.value !== word.value ? other : undefined }];
  });
  const alone = INSTRUMENT_FIELD_NAMES.flatMap((field): Fact[] => {
    const word = ownValue(record.instruments, field);
    return word ? [{ field, word, other: undefined }] : [];
  });
  return [...both, ...alone];
}

/** "mount, 10:02:07"; of a person only the time: who it is stands in the panel's head. */
function byline(word: Register<unknown>, practice: PracticeStarted | null): string {
  const time = clockText(runTime(practice, word.observedUtcMs));
  const who = isInstrument(word);
  return who
    ? t("fact.by", { who: t(`instrument.${who}`), time })
    : t("fact.by", { who: t("fact.person"), time });
}
