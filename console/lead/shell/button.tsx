/** A plain button of the console, at least 44 px high, named for tests by data-action. */
import type { ReactNode } from "react";

export interface ButtonProps {
  /** Name for programs, as data-action. */
  action: string;
  kind?: "plain" | "main" | "danger" | "quiet";
  type?: "button" | "submit";
  disabled?: boolean;
  pressed?: boolean;
  label?: string;
  onClick?: () => void;
  children: ReactNode;
}

export function Button(props: ButtonProps) {
  return (
    <button
      type={props.type ?? "button"}
      className={`button button--${props.kind ?? "plain"}`}
      data-action={props.action}
      disabled={props.disabled ?? false}
      {...(props.pressed === undefined ? {} : { "aria-pressed": props.pressed })}
      {...(props.label === undefined ? {} : { "aria-label": props.label })}
      onClick={props.onClick}
    >
      {props.children}
    </button>
  );
}
