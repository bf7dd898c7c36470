/** The line or two that tell what there is to see, what stands in the dark sky, and what it was like. */
import type { BoardSnapshot, BrightBody } from "../../shared/protocol/messages.ts";
import { lengthWords } from "../parts/words-for-length.ts";
import { type t as Translate, useWords } from "../words/words.ts";
import { type BoardView, isOverhead, windOf } from "./board-view.ts";
import { narration } from "./narration.ts";
import { namedTimeText } from "./when-text.ts";

interface WhatToSeeProps {
  snapshot: BoardSnapshot;
  view: BoardView;
}

export function WhatToSee({ snapshot, view }: WhatToSeeProps) {
  const { t } = useWords();
  const { line, sky, past } = narration(view);
  const bodies = sky === "none" ? [] : snapshot.sky.filter((body) => sky === "all" || !isBesideSun(body));
  if (!line && !past && bodies.length === 0) return null;
  return (
    <section className="board-see" data-see={line ?? "past"}>
      {line ? <p aria-live="polite">{t(line)}</p> : null}
      {bodies.length > 0 ? (
        <p className="board-see-sky">
          {t("board.sky.title")} {bodies.map((body) => bodyWords(body, t)).join(" · ")}
        </p>
      ) : null}
      {past ? <WhatItWasLike snapshot={snapshot} view={view} /> : null}
    </section>
  );
}

/** So near the Sun it stands in the corona, and whoever looks for it looks at the Sun, degrees. */
const BESIDE_DEG = 10;

function isBesideSun({ sunDeg }: BrightBody): boolean {
  return sunDeg !== undefined && sunDeg < BESIDE_DEG;
}

function bodyWords(body: BrightBody, t: typeof Translate): string {
  const name = t(`board.body.${body.name}`);
  if (isBesideSun(body)) return t("board.sky.beside", { name });
  if (isOverhead(body.altitudeDeg)) return t("board.sky.overhead", { name });
  const wind = t(`board.wind.${windOf(body.azimuthDeg)}`);
  return t("board.sky.where", { name, altitude: body.altitudeDeg, wind });
}

function WhatItWasLike({ snapshot, view }: WhatToSeeProps) {
  const { t } = useWords();
  const { zone, calledTotalityMs, calledReturnMs, skySeen } = snapshot;
  const { totalityMs, returnMs } = snapshot.calledOut ?? {
    totalityMs: calledTotalityMs,
    returnMs: calledReturnMs,
  };
  const { c2, c3 } = view.contacts;
  if (c2 === null || c3 === null) return null;
  const time = (atMs: number) => namedTimeText(atMs, zone);
  const said = [
    // Of a totality that nobody called only the prediction is known.
    t(totalityMs === null ? "board.past.predicted" : "board.past.totality", {
      ...{ from: time(c2), to: time(c3), length: lengthWords(view.centralS) },
    }),
    totalityMs === null ? null : t("board.past.called", { time: time(totalityMs) }),
    returnMs === null ? null : t("board.past.returned", { time: time(returnMs) }),
    skySeen ? t(`board.past.sky.${skySeen}`) : null,
  ];
  return (
    <div className="board-past">
      <h2>{t("board.past.title")}</h2>
      <p>{said.filter(Boolean).join(" · ")}</p>
    </div>
  );
}
