/** The large button that says something was done. One press, at least 88 px high. */
import type { ReactNode } from "react";
import "./confirm-button.css";

interface ConfirmButtonProps {
  label: string;
  hint?: ReactNode;
  onPress: () => void;
  /** filled: what is wanted now; outlined: possible; danger: red, for "Cover every lens". */
  tone?: "filled" | "outlined" | "danger";
  disabled?: boolean;
}

export function ConfirmButton({
  label,
  hint,
  onPress,
  tone = "filled",
  disabled = false,
}: ConfirmButtonProps) {
  return (
    <button type="button" className="confirm-button" data-tone={tone} disabled={disabled} onClick={onPress}>
      <span className="confirm-button-label">{label}</span>
      {hint ? <span className="confirm-button-hint">{hint}</span> : null}
    </button>
  );
}
