/**
 * The state of a filter as one mark, the same on every page and on paper: a filled plate ON, an
 * empty frame OFF (heavy and red while the photosphere is exposed), a dashed frame UNKNOWN, a disc
 * CAPPED, a bar NONE BY DESIGN. Shape and word carry it without colour.
 */
import "../words/bundles/pieces.ts";
import type { FilterState } from "../../shared/run/facts/filter-state.ts";
import { useWords, type WordKey } from "../words/words.ts";
import "./filter-mark.css";

interface FilterMarkProps {
  state: FilterState;
  /** S1: bare photosphere can reach the lens now. Only OFF looks different for it. */
  exposed?: boolean;
  size?: "small" | "large";
}

const WORDS: Record<FilterState, WordKey> = {
  on: "filter.on",
  off: "filter.off",
  unknown: "filter.unknown",
  capped: "filter.capped",
  "none by design": "filter.none",
};

export function FilterMark({ state, exposed = false, size = "small" }: FilterMarkProps) {
  const { t } = useWords();
  const danger = exposed && state === "off";
  return (
    <span className="filter-mark" data-state={state} data-danger={danger} data-size={size}>
      <svg className="filter-mark-shape" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
        <Shape state={state} danger={danger} />
      </svg>
      <span className="filter-mark-word">
        {t(WORDS[state])}
        {danger ? <span className="filter-mark-exposed"> {t("filter.exposed")}</span> : null}
      </span>
    </span>
  );
}

function Shape({ state, danger }: { state: FilterState; danger: boolean }) {
  switch (state) {
    case "on":
      return <rect x="1" y="1" width="22" height="22" fill="currentColor" />;
    case "off": {
      const wide = danger ? 6 : 3;
      const from = wide / 2 + 0.5;
      return (
        <rect
          x={from}
          y={from}
          width={24 - 2 * from}
          height={24 - 2 * from}
          fill="none"
          stroke="currentColor"
          strokeWidth={wide}
        />
      );
    }
    case "unknown":
      return (
        <>
          <rect
            x="2"
            y="2"
            width="20"
            height="20"
            fill="none"
            stroke="currentColor"
            strokeWidth="2"
            strokeDasharray="4 2.6"
          />
          <path
            d="M8.6 9.2a3.4 3.4 0 1 1 5.2 2.9c-1.2.8-1.8 1.3-1.8 2.6M12 17.2v1.6"
            fill="none"
            stroke="currentColor"
            strokeWidth="1.8"
          />
        </>
      );
    case "capped":
      return <circle cx="12" cy="12" r="11" fill="currentColor" />;
    case "none by design":
      return <rect x="1" y="10" width="22" height="4" fill="currentColor" />;
  }
}
