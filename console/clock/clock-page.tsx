/** The clock to photograph: the stage, how fast its codes change, and what to do. */
import { useEffect, useRef, useState } from "react";
import type { Pace } from "../../shared/images/camera-clock/clock-code.ts";
import { useKeepAwake } from "../board/keep-awake.ts";
import { runTimeOf } from "../board/run-clock.ts";
import type { PageBoard } from "../link/page-board.ts";
import { useNow, useSessionView } from "../link/use-session.ts";
import { CoverScreen } from "../parts/cover-screen.tsx";
import { chooseLanguage } from "../parts/language.ts";
import { LanguageSelect } from "../parts/language-select.tsx";
import { LinkLine } from "../parts/link-line.tsx";
import { linkName } from "../parts/link-name.ts";
import { PaletteSelect } from "../parts/palette-select.tsx";
import { usePalette } from "../parts/use-palette.ts";
import { useWords } from "../words/words.ts";
import { ClockStage } from "./clock-stage.tsx";
import { WhatToDo } from "./what-to-do.tsx";
import "./clock.css";

const PACES: readonly Pace[] = ["usual", "fast"];

export function ClockPage({ session }: { session: PageBoard }) {
  const { t, locale } = useWords();
  const { linkState, sinceUtcMs, board, cover } = useSessionView(session);
  useNow(session, 1000);
  useKeepAwake();
  const stage = useRef<HTMLDivElement>(null);
  const [pace, setPace] = useState<Pace>("usual");
  const dark = board?.kind === "total" ? board.contacts : null;
  const { choice, choose } = usePalette(dark, () => runTimeOf(board?.practice ?? null, session.now()));
  const { boundMs, utcBoundMs } = session.reading();
  // biome-ignore lint/correctness/useExhaustiveDependencies: t speaks the language of `locale`.
  useEffect(() => {
    document.title = `${t("clock.title")} · ${t("app.name")}`;
  }, [locale]);
  return (
    <main className="clock" data-page="clock" data-link={linkName(linkState)}>
      <header>
        <h1>{t("clock.title")}</h1>
        <LinkLine linkState={linkState} sinceUtcMs={sinceUtcMs} boundMs={boundMs} utcBoundMs={utcBoundMs} />
      </header>
      <div ref={stage} className="clock-whole">
        {/* Here, so that it stands over the full screen, too (S7). */}
        {cover ? <CoverScreen /> : null}
        <ClockStage session={session} pace={pace} />
      </div>
      <div className="clock-controls">
        <fieldset>
          <legend>{t("clock.pace")}</legend>
          {PACES.map((one) => (
            <button
              key={one}
              type="button"
              data-action={`pace-${one}`}
              aria-pressed={one === pace}
              onClick={() => setPace(one)}
            >
              {t(`clock.pace.${one}`)}
            </button>
          ))}
        </fieldset>
        {document.fullscreenEnabled && (
          <button
            type="button"
            data-action="full-screen"
            onClick={() => void stage.current?.requestFullscreen().catch(() => undefined)}
          >
            {t("clock.fullScreen")}
          </button>
        )}
        <PaletteSelect choice={choice} choose={choose} />
        <LanguageSelect choose={chooseLanguage} />
      </div>
      <WhatToDo />
    </main>
  );
}
