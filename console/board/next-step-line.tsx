/** What comes next, in how long and when: a countdown, or days while it is more than one away. */
import { Countdown } from "../parts/countdown.tsx";
import { useWords } from "../words/words.ts";
import { type BoardView, nextKey } from "./board-view.ts";
import { whenText } from "./when-text.ts";

const DAY_MS = 86_400_000;

interface NextStepLineProps {
  next: NonNullable<BoardView["next"]>;
  view: BoardView;
  readRunNow: () => number;
  zone: string;
}

export function NextStepLine({ next, view, readRunNow, zone }: NextStepLineProps) {
  const { t } = useWords();
  const label = t(nextKey(next.step, view));
  const days = Math.floor((next.atRunMs - view.runNowMs) / DAY_MS);
  return (
    <div className="board-next" data-days={days >= 2}>
      {days >= 2 ? (
        <p className="countdown">
          <span className="countdown-label">{label}</span>
          <span className="countdown-figures" data-figures={true} dir="auto">
            {t("board.next.days", { count: days })}
          </span>
        </p>
      ) : (
        <Countdown to={next.atRunMs} read={readRunNow} label={label} />
      )}
      <p className="board-next-at" data-when={next.atRunMs}>
        {whenText(next.atRunMs, view.runNowMs, zone)}
      </p>
    </div>
  );
}
