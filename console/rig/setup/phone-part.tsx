/** How this phone shows and sounds things, and which rigs it holds. */
import "../../words/bundles/pieces.ts";
import { LANGUAGE_NAMES } from "../../parts/language.ts";
import type { PaletteChoice } from "../../parts/use-palette.ts";
import { locales, useWords } from "../../words/words.ts";
import { chooseLanguage } from "../device/language.ts";
import { type Prefs, setPrefs, TEXT_SCALES, usePrefs } from "../device/prefs.ts";

export interface PhonePartProps {
  palette: PaletteChoice;
  onPalette: (choice: PaletteChoice) => void;
  rigs: readonly { id: string; name: string }[];
  onLeave: (rigId: string) => void;
  /** Whether this phone remembers its rigs over a reload. */
  kept: boolean;
}

const PALETTES: readonly PaletteChoice[] = ["auto", "glare", "dusk"];
const SWITCHES = ["sound", "voice", "vibration", "flash"] as const satisfies readonly (keyof Prefs)[];

export function PhonePart({ palette, onPalette, rigs, onLeave, kept }: PhonePartProps) {
  const { t, locale } = useWords();
  const prefs = usePrefs();
  return (
    <section className="rig-part">
      <h2>{t("rig.phone.title")}</h2>
      <Choice
        name="language"
        label={t("language.label")}
        values={locales}
        chosen={locale}
        words={(value) => LANGUAGE_NAMES[value]}
        lang={(value) => value}
        onChoose={(value) => void chooseLanguage(value)}
      />
      <Choice
        name="palette"
        label={t("palette.label")}
        values={PALETTES}
        chosen={palette}
        words={(value) => t(`palette.${value}`)}
        onChoose={onPalette}
      />
      <Choice
        name="text"
        label={t("rig.phone.text")}
        values={TEXT_SCALES}
        chosen={prefs.textScale as (typeof TEXT_SCALES)[number]}
        words={(value) => `${Math.round(value * 100)} %`}
        onChoose={(textScale) => setPrefs({ textScale })}
      />
      <Choice
        name="hand"
        label={t("rig.phone.hand")}
        values={["right", "left"] as const}
        chosen={prefs.hand}
        words={(value) => t(`rig.phone.hand.${value}`)}
        onChoose={(hand) => setPrefs({ hand })}
      />
      <div className="rig-choice">
        <p>{t("rig.phone.signals")}</p>
        <div className="rig-choice-values">
          {SWITCHES.map((name) => (
            <button
              key={name}
              type="button"
              data-switch={name}
              aria-pressed={prefs[name]}
              onClick={() => setPrefs({ [name]: !prefs[name] })}
            >
              {t(`rig.phone.signal.${name}`)}
            </button>
          ))}
        </div>
      </div>
      <p className="rig-soft">{t(kept ? "rig.phone.more" : "rig.phone.forgets")}</p>
      {rigs.length > 1
        ? rigs.map((rig) => (
            <button
              key={rig.id}
              type="button"
              className="rig-plain"
              data-action="leave"
              data-rig={rig.id}
              onClick={() => onLeave(rig.id)}
            >
              {t("rig.phone.leave", { rig: rig.name })}
            </button>
          ))
        : null}
    </section>
  );
}

interface ChoiceProps<Value extends string | number> {
  name: string;
  label: string;
  values: readonly Value[];
  chosen: Value;
  words: (value: Value) => string;
  lang?: (value: Value) => string;
  onChoose: (value: Value) => void;
}

function Choice<Value extends string | number>(props: ChoiceProps<Value>) {
  const { name, label, values, chosen, words, lang, onChoose } = props;
  return (
    <fieldset className="rig-choice" data-choice={name}>
      <legend>{label}</legend>
      <div className="rig-choice-values">
        {values.map((value) => (
          <button
            key={value}
            type="button"
            data-value={value}
            aria-pressed={value === chosen}
            lang={lang?.(value)}
            onClick={() => onChoose(value)}
          >
            {words(value)}
          </button>
        ))}
      </div>
    </fieldset>
  );
}
