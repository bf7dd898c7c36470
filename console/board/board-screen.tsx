/**
 * The board as it is read from ten metres: what is happening, what comes next and when, one safety
 * line, the Sun as it stands. Draws what board-view.ts decided and decides nothing itself.
 */
import type { BoardClientView } from "../../shared/link/board-client.ts";
import type { ClockReading, LinkState } from "../../shared/link/session-types.ts";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { PageBoard } from "../link/page-board.ts";
import { AlertLine } from "../parts/alert-line.tsx";
import { ClockFace } from "../parts/clock-face.tsx";
import { CoverScreen } from "../parts/cover-screen.tsx";
import { LinkLine } from "../parts/link-line.tsx";
import { linkName } from "../parts/link-name.ts";
import { PracticeBanner } from "../parts/practice-banner.tsx";
import { SunDisc } from "../parts/sun-disc.tsx";
import { TimeLine } from "../parts/time-line.tsx";
import type { PaletteChoice } from "../parts/use-palette.ts";
import { lengthWords } from "../parts/words-for-length.ts";
import { intlLocale, type t as Translate, useWords } from "../words/words.ts";
import { BoardSettings } from "./board-settings.tsx";
import { type BoardSun, type BoardView, isOverhead, windOf } from "./board-view.ts";
import { Cautions } from "./cautions.tsx";
import { NextStepLine } from "./next-step-line.tsx";
import { SafetyBlock } from "./safety-block.tsx";
import { CheckedLine, isForged, TroubleLine } from "./trouble-lines.tsx";
import { useFieldSound } from "./use-field-sound.tsx";
import { WhatToSee } from "./what-to-see.tsx";
import { namedTimeText, zonedText } from "./when-text.ts";

interface BoardScreenProps {
  session: PageBoard;
  snapshot: BoardSnapshot;
  view: BoardView;
  nowUtcMs: UtcMs;
  linkState: LinkState;
  sinceUtcMs: number | null;
  reading: ClockReading;
  /** S7, from any source. */
  cover: boolean;
  trouble: BoardClientView["trouble"];
  checked: BoardClientView["checked"];
  /** Run time, read at every frame. */
  readRunNow: () => number;
  palette: PaletteChoice;
  choosePalette: (choice: PaletteChoice) => void;
}

/** A headline of more letters is set smaller where it has one line. */
const LONG_HEADLINE = 28;

export function BoardScreen(props: BoardScreenProps) {
  const { snapshot, view, linkState, sinceUtcMs, reading, cover, readRunNow } = props;
  const { t } = useWords();
  const { next, sun } = view;
  const alone = linkState === "alone" || linkState === "never linked";
  const forged = isForged(props.trouble);
  const { zone } = snapshot;
  const { session, nowUtcMs } = props;
  const sound = useFieldSound({ session, snapshot, view, cover, nowUtcMs });
  const headline = t(`board.now.${view.phase}`);
  return (
    <div
      className="board"
      data-page="board"
      data-phase={view.phase}
      data-glasses={view.glasses}
      data-link={linkName(linkState)}
      data-practice={view.practice !== null}
      data-alone={alone}
    >
      {view.practice ? (
        <PracticeBanner
          sentence={t("board.practice.says")}
          rate={view.practice.rate}
          endsText={namedTimeText(view.practice.endsAtUtcMs, zone)}
        />
      ) : null}
      {cover ? <CoverScreen /> : null}
      <main className="board-main" inert={cover}>
        <header className="board-place">
          <p>{placeLine(snapshot, view, t)}</p>
          <ClockFace read={readRunNow} zone={zone} practice={view.practice !== null} large="local" />
        </header>
        {alone && !forged ? (
          <AlertLine
            priority="caution"
            title={t("board.alone.title")}
            detail={t("board.alone.detail")}
            announce
          />
        ) : null}
        {alone && !forged ? null : <TroubleLine trouble={props.trouble} />}
        <section className="board-now">
          <h1 className="board-headline" aria-live="polite" data-long={headline.length > LONG_HEADLINE}>
            {headline}
          </h1>
          {next ? <NextStepLine next={next} view={view} readRunNow={readRunNow} zone={zone} /> : null}
        </section>
        <SafetyBlock line={view.safety} />
        <WhatToSee snapshot={snapshot} view={view} />
        {sun && view.phase !== "unset" ? (
          <section className="board-sun">
            <SunDisc
              moon={sun.moon}
              totality={sun.totality}
              belowHorizon={!sun.up}
              label={sunWords(sun, t)}
            />
            <p className="board-sun-words">{sunWords(sun, t)}</p>
          </section>
        ) : null}
        <section className="board-line">
          <TimeLine
            contacts={view.contacts}
            runNow={view.runNowMs}
            timeText={(atMs) => zonedText(atMs, zone)}
            names={contactNames(view.kind, t)}
          />
        </section>
        <Cautions />
        <footer className="board-foot">
          <LinkLine
            linkState={linkState}
            sinceUtcMs={sinceUtcMs}
            boundMs={reading.state === "none" ? null : reading.boundMs}
            utcBoundMs={null}
            practice={view.practice !== null}
          />
          <CheckedLine checked={props.checked} />
          <BoardSettings palette={props.palette} choosePalette={props.choosePalette}>
            {sound.button}
          </BoardSettings>
        </footer>
      </main>
      {sound.speaker}
    </div>
  );
}

function placeLine(snapshot: BoardSnapshot, view: BoardView, t: typeof Translate): string {
  const kind =
    view.kind === "total" || view.kind === "annular"
      ? t(`board.kind.${view.kind}`, { length: lengthWords(view.centralS) })
      : view.kind === "partial"
        ? t("board.kind.partial", { percent: percentText(snapshot.magnitude) })
        : null;
  return [snapshot.siteName, snapshot.group, kind].filter(Boolean).join(" · ");
}

function sunWords(sun: BoardSun, t: typeof Translate): string {
  if (!sun.up) return t("board.sun.down");
  const altitude = Math.max(0, Math.round(sun.altitudeDeg));
  const where = isOverhead(altitude)
    ? t("board.sun.overhead")
    : t("board.sun.where", { altitude, wind: t(`board.wind.${windOf(sun.azimuthDeg)}`) });
  if (!sun.moon || sun.covered <= 0 || sun.totality) return where;
  const covered = t("board.sun.covered", { percent: percentText(sun.covered) });
  return t("board.sun.both", { covered, where });
}

/** Visitors read words where crews read C1 to C4. */
function contactNames(kind: BoardView["kind"], t: typeof Translate) {
  return {
    c1: t("board.contact.begin"),
    c2: t(kind === "annular" ? "board.contact.ring" : "board.contact.totality"),
    max: t("board.contact.greatest"),
    c3: t(kind === "annular" ? "board.contact.ringEnd" : "board.contact.return"),
    c4: t("board.contact.end"),
  };
}

function percentText(share: number): string {
  const shown = Math.min(100, Math.floor(share * 100 + 0.5));
  return new Intl.NumberFormat(intlLocale(), { style: "percent" }).format(
    share < 1 ? Math.min(shown, 99) / 100 : 1,
  );
}
