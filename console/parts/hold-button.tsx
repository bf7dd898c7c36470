/**
 * A button for what must be meant (S6: calls that unfilter): it acts after one second of holding,
 * by pointer or by Space or Enter, and a fill shows how far. Letting go, leaving it or losing
 * focus before then does nothing. Assistive technology that can only click presses twice within
 * five seconds instead.
 */
import "../words/bundles/pieces.ts";
import { type KeyboardEvent, type PointerEvent, useEffect, useRef, useState } from "react";
import { useWords } from "../words/words.ts";
import "./hold-button.css";

interface HoldButtonProps {
  label: string;
  /** What it will do, in small; "hold for one second" when left out. */
  hint?: string;
  onHeld: () => void;
  holdMs?: number;
  disabled?: boolean;
  tone?: "plain" | "danger";
}

const SECOND_PRESS_MS = 5000;

export function HoldButton({
  label,
  hint,
  onHeld,
  holdMs = 1000,
  disabled = false,
  tone = "plain",
}: HoldButtonProps) {
  const { t } = useWords();
  const [holding, setHolding] = useState(false);
  const [asked, setAsked] = useState(false);
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  const startedMs = useRef<number | null>(null);
  /** A click that ends a hold, however short, is no press of its own. */
  const ownClick = useRef(false);

  const letGo = () => {
    clearTimeout(timer.current);
    startedMs.current = null;
    setHolding(false);
  };
  const begin = () => {
    if (disabled || startedMs.current !== null) return;
    ownClick.current = true;
    startedMs.current = performance.now();
    setHolding(true);
    timer.current = setTimeout(() => {
      letGo();
      setAsked(false);
      onHeld();
    }, holdMs);
  };
  const press = () => {
    if (ownClick.current) {
      ownClick.current = false;
      return;
    }
    if (disabled) return;
    if (asked) onHeld();
    setAsked(!asked);
  };

  useEffect(() => () => clearTimeout(timer.current), []);
  useEffect(() => {
    if (disabled) {
      clearTimeout(timer.current);
      startedMs.current = null;
      setHolding(false);
    }
  }, [disabled]);
  useEffect(() => {
    if (!asked) return;
    const over = setTimeout(() => setAsked(false), SECOND_PRESS_MS);
    return () => clearTimeout(over);
  }, [asked]);

  return (
    <button
      type="button"
      className="hold-button"
      data-holding={holding}
      data-tone={tone}
      style={{ "--hold-ms": `${holdMs}ms` } as React.CSSProperties}
      disabled={disabled}
      onPointerDown={(event: PointerEvent<HTMLButtonElement>) => {
        if (event.button !== 0) return;
        // Kept here: a finger that slides off must be noticed as leaving.
        if (event.currentTarget.hasPointerCapture(event.pointerId))
          event.currentTarget.releasePointerCapture(event.pointerId);
        begin();
      }}
      onPointerUp={letGo}
      onPointerLeave={() => {
        // Slid off while holding: no click of its own follows. (A finger lifted leaves after its up.)
        if (startedMs.current !== null) ownClick.current = false;
        letGo();
      }}
      onPointerCancel={letGo}
      onContextMenu={(event) => event.preventDefault()}
      onKeyDown={(event: KeyboardEvent) => {
        if (event.key !== " " && event.key !== "Enter") return;
        event.preventDefault();
        if (!event.repeat) begin();
      }}
      onKeyUp={(event: KeyboardEvent) => {
        if (event.key !== " " && event.key !== "Enter") return;
        event.preventDefault();
        ownClick.current = false;
        letGo();
      }}
      onBlur={() => {
        ownClick.current = false;
        letGo();
      }}
      onClick={press}
    >
      <span className="hold-button-fill" aria-hidden="true" />
      <span className="hold-button-label">{label}</span>
      <span className="hold-button-hint" aria-live="polite">
        {asked ? t("hold.again") : (hint ?? t("hold.hint"))}
      </span>
    </button>
  );
}
