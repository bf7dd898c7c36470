/** The board's switch for sound, and what speaks: fetched only where somebody asks for it. */
import { useState } from "react";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { PageBoard } from "../link/page-board.ts";
import { late } from "../parts/late.tsx";
import { useWords } from "../words/words.ts";
import type { BoardView } from "./board-view.ts";
import { utcOfRunAt } from "./run-clock.ts";

const FieldSound = late(async () => (await import("./sound/field-sound.tsx")).FieldSound);

interface FieldSoundUse {
  session: PageBoard;
  snapshot: BoardSnapshot;
  view: BoardView;
  cover: boolean;
  nowUtcMs: UtcMs;
}

export function useFieldSound({ session, snapshot, view, cover, nowUtcMs }: FieldSoundUse) {
  const { t } = useWords();
  const [open, setOpen] = useState(false);
  const [wanted, setWanted] = useState(false);
  const { next } = view;
  const utcOf = (step: string): UtcMs | null =>
    next?.step === step ? utcOfRunAt(snapshot.practice, nowUtcMs, next.atRunMs) : null;
  return {
    button: (
      <button
        type="button"
        data-action="sound"
        aria-expanded={open}
        onClick={() => {
          setWanted(true);
          setOpen(!open);
        }}
      >
        {t("board.sound.button")}
      </button>
    ),
    speaker: wanted ? (
      <FieldSound
        session={session}
        view={view}
        cover={cover}
        glassesOnUtcMs={utcOf("glassesOn")}
        totalityUtcMs={view.kind === "total" ? utcOf("totality") : null}
        open={open}
        close={() => setOpen(false)}
      />
    ) : null,
  };
}
