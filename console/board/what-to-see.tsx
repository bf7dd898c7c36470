/** The line or two that tell what there is to see, what stands in the dark sky, and what it was like. */
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import { lengthWords } from "../parts/words-for-length.ts";
import { useWords } from "../words/words.ts";
import { type BoardView, windOf } from "./board-view.ts";
import { narration } from "./narration.ts";
import { namedTimeText } from "./when-text.ts";

interface WhatToSeeProps {
  snapshot: BoardSnapshot;
  view: BoardView;
}

export function WhatToSee({ snapshot, view }: WhatToSeeProps) {
  const { t } = useWords();
  const { line, sky, past } = narration(view);
  const bodies = sky ? snapshot.sky : [];
  if (!line && !past && bodies.length === 0) return null;
  return (
    <section className="board-see" data-see={line ?? "past"}>
      {line ? <p aria-live="polite">{t(line)}</p> : null}
      {bodies.length > 0 ? (
        <p className="board-see-sky">
          {t("board.sky.title")}{" "}
          {bodies
            .map(({ name, altitudeDeg, azimuthDeg }) =>
              t("board.sky.where", {
                name: t(`board.body.${name}`),
                altitude: altitudeDeg,
                wind: t(`board.wind.${windOf(azimuthDeg)}`),
              }),
            )
            .join(" · ")}
        </p>
      ) : null}
      {past ? <WhatItWasLike snapshot={snapshot} view={view} /> : null}
    </section>
  );
}

function WhatItWasLike({ snapshot, view }: WhatToSeeProps) {
  const { t } = useWords();
  const { zone, calledTotalityMs, skySeen } = snapshot;
  const { c2, c3 } = view.contacts;
  if (c2 === null || c3 === null) return null;
  const time = (atMs: number) => namedTimeText(atMs, zone);
  const said = [
    t("board.past.totality", { from: time(c2), to: time(c3), length: lengthWords(view.centralS) }),
    calledTotalityMs === null ? null : t("board.past.called", { time: time(calledTotalityMs) }),
    skySeen ? t(`board.past.sky.${skySeen}`) : null,
  ];
  return (
    <div className="board-past">
      <h2>{t("board.past.title")}</h2>
      <p>{said.filter(Boolean).join(" · ")}</p>
    </div>
  );
}
