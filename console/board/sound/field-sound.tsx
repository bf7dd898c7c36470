/**
 * Sound for the field: one laptop with loudspeakers counts in and says "Glasses on" in the languages
 * chosen, in turn. It must be started by a tap after every load; what is said is written, too.
 */
import { useEffect, useRef, useState } from "react";
import type { UtcMs } from "../../../shared/time/instants.ts";
import type { PageBoard } from "../../link/page-board.ts";
import { LANGUAGE_NAMES } from "../../parts/language.ts";
import { dir, type Locale, locales, useWords } from "../../words/words.ts";
import type { BoardView } from "../board-view.ts";
import { type FieldMoments, fieldMoments, NO_MOMENTS } from "./field-moments.ts";
import { FieldSpeaker } from "./field-speaker.ts";
import "./field-sound.css";

const KEY = "noonfall.field-languages";

interface FieldSoundProps {
  session: PageBoard;
  view: BoardView;
  cover: boolean;
  /** The instants of this view, real UTC; null where there are none. */
  glassesOnUtcMs: UtcMs | null;
  totalityUtcMs: UtcMs | null;
  close: () => void;
  open: boolean;
}

export function FieldSound(props: FieldSoundProps) {
  const { session, view, cover, glassesOnUtcMs, totalityUtcMs, open, close } = props;
  const { t, locale } = useWords();
  const [languages, setLanguages] = useState<readonly Locale[]>(() => stored() ?? [locale]);
  const [state, setState] = useState<"off" | "on" | "refused">("off");
  const speaker = useRef<FieldSpeaker | null>(null);
  const moments = useRef<FieldMoments>(NO_MOMENTS);
  const nowUtcMs = session.now();
  useEffect(() => {
    moments.current = fieldMoments(moments.current, view, cover, nowUtcMs, glassesOnUtcMs);
    // The language of the screen first: most of those who stand before it speak that.
    const order = [...languages].sort((a, b) => Number(b === locale) - Number(a === locale));
    if (state === "on") speaker.current?.update(order, moments.current, totalityUtcMs);
  });
  useEffect(() => () => speaker.current?.stop(), []);

  const choose = (each: Locale, on: boolean): void => {
    const chosen = locales.filter((one) => (one === each ? on : languages.includes(one)));
    setLanguages(chosen);
    try {
      localStorage.setItem(KEY, chosen.join(" "));
    } catch {
      // A device that keeps nothing asks again after a reload.
    }
  };
  const start = async (): Promise<void> => {
    speaker.current ??= new FieldSpeaker(session);
    setState((await speaker.current.start(languages)) ? "on" : "refused");
  };
  const stop = (): void => {
    speaker.current?.stop();
    setState("off");
  };
  const silent = state === "on" && speaker.current?.running === false;
  const caption = state === "on" ? speaker.current?.captionAt(nowUtcMs) : null;
  const says = state === "refused" || silent ? "silent" : state;
  return (
    <>
      {caption ? (
        <p
          className="field-caption"
          data-caption={caption.locale}
          lang={caption.locale}
          dir={dir(caption.locale)}
        >
          {caption.text}
        </p>
      ) : null}
      {open || says === "silent" ? (
        <section className="field-sound no-print" aria-label={t("board.sound.title")} data-sound={says}>
          <h2>{t("board.sound.title")}</h2>
          <p>{t("board.sound.about")}</p>
          <fieldset>
            <legend>{t("board.sound.languages")}</legend>
            {locales.map((each) => (
              <label key={each} lang={each}>
                <input
                  type="checkbox"
                  checked={languages.includes(each)}
                  onChange={(event) => choose(each, event.target.checked)}
                />
                {LANGUAGE_NAMES[each]}
              </label>
            ))}
          </fieldset>
          <p role="status">{t(`board.sound.${says}`)}</p>
          <div className="field-sound-actions">
            {says === "on" ? (
              <button type="button" data-action="sound-stop" onClick={stop}>
                {t("board.sound.stop")}
              </button>
            ) : (
              <button
                type="button"
                data-action="sound-start"
                disabled={languages.length === 0}
                onClick={() => void start()}
              >
                {t("board.sound.start")}
              </button>
            )}
            <button
              type="button"
              onClick={() => {
                if (says === "silent") stop();
                close();
              }}
            >
              {t("board.sound.close")}
            </button>
          </div>
        </section>
      ) : null}
    </>
  );
}

function stored(): readonly Locale[] | null {
  try {
    const kept = localStorage.getItem(KEY)?.split(" ") ?? [];
    const known = locales.filter((each) => kept.includes(each));
    return known.length > 0 ? known : null;
  } catch {
    return null;
  }
}
