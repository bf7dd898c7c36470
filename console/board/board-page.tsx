/** The board with its session: draws the screen again four times a second, when glasses go on, and when news comes. */

import type { PageBoard } from "../link/page-board.ts";
import { EmptyNote } from "../parts/empty-note.tsx";
import { linkName } from "../parts/link-name.ts";
import { usePalette } from "../parts/use-palette.ts";
import { useWords } from "../words/words.ts";
import { BoardScreen } from "./board-screen.tsx";
import { Cautions } from "./cautions.tsx";
import { useKeepAwake } from "./keep-awake.ts";
import { runTimeOf } from "./run-clock.ts";
import { TroubleLine } from "./trouble-lines.tsx";
import { useBoardTold } from "./use-board-view.ts";
import "./board.css";

export function BoardPage({ session }: { session: PageBoard }) {
  const { t } = useWords();
  const { seen, now, reading, told } = useBoardTold(session);
  useKeepAwake();
  const { board, cover } = seen;
  const readRunNow = () => runTimeOf(board?.practice ?? null, session.now());
  const { choice, choose } = usePalette(told?.kind === "total" ? told.contacts : null, readRunNow);
  if (!board || !told) {
    // What is checked comes from a relay: its visitors may be anywhere.
    const waiting = seen.checked === null ? t("board.waiting") : t("board.waitingFar");
    const text = seen.refused ? t("board.refused") : waiting;
    return (
      <main
        className="board-waiting"
        data-page="board"
        data-phase="unset"
        data-glasses="on"
        data-link={linkName(seen.linkState)}
      >
        <TroubleLine trouble={seen.trouble} empty />
        <p className="board-waiting-glasses">{t("board.safety.always")}</p>
        <EmptyNote
          text={text}
          action={
            <button type="button" onClick={() => window.location.reload()}>
              {t("board.reload")}
            </button>
          }
        />
        <Cautions />
      </main>
    );
  }
  return (
    <BoardScreen
      session={session}
      nowUtcMs={now}
      snapshot={board}
      view={told}
      linkState={seen.linkState}
      sinceUtcMs={seen.sinceUtcMs}
      reading={reading}
      cover={cover}
      trouble={seen.trouble}
      checked={seen.checked}
      readRunNow={readRunNow}
      palette={choice}
      choosePalette={choose}
    />
  );
}
