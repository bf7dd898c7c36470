/** The one safety line, large: word, shape and colour together (ISO 22324). */
import { AlertShape } from "../parts/alert-shape.tsx";
import { useWords } from "../words/words.ts";
import type { SafetyLine } from "./board-view.ts";

type Tone = "on" | "urgent" | "off" | "quiet";

const TONES: Record<SafetyLine, Tone> = {
  on: "on",
  onUntilCall: "on",
  wait: "on",
  off: "off",
  offPractice: "on",
  onNow: "urgent",
  onThroughout: "on",
  stay: "urgent",
  sunDown: "quiet",
  alone: "urgent",
  always: "quiet",
};

export function SafetyBlock({ line }: { line: SafetyLine }) {
  const { t } = useWords();
  const tone = TONES[line];
  return (
    <section className="board-safety" data-tone={tone} aria-live="assertive" aria-atomic="true">
      {tone === "urgent" ? <AlertShape priority="danger" /> : <GlassesShape off={tone === "off"} />}
      <div>
        <p className="board-safety-line">{t(`board.safety.${line}`)}</p>
        <p className="board-safety-detail">{t(`board.safety.${line}.detail`)}</p>
      </div>
    </section>
  );
}

/** Eclipse glasses: two filled panes on; two open panes off. */
function GlassesShape({ off }: { off: boolean }) {
  return (
    <svg className="board-safety-shape" viewBox="0 0 48 24" aria-hidden="true" focusable="false">
      <path
        d="M3 5h18v9a6 6 0 0 1-6 6H9a6 6 0 0 1-6-6zM27 5h18v9a6 6 0 0 1-6 6h-6a6 6 0 0 1-6-6z"
        fill={off ? "none" : "currentColor"}
        stroke="currentColor"
        strokeWidth="2.5"
      />
      <path d="M21 8h6" stroke="currentColor" strokeWidth="2.5" />
    </svg>
  );
}
