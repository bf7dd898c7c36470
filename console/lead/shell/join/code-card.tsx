/** A QR code with what it is for beside it. Where it opens below the fold, the screen follows it. */
import { type ReactNode, useEffect, useRef } from "react";
import { QrCode } from "./qr-code.tsx";
import "./code-card.css";

interface CodeCardProps {
  text: string;
  /** What the code does, for those who do not see it. */
  label: string;
  /** Marks for tests and outside checks. */
  data: Readonly<Record<`data-${string}`, string>>;
  children: ReactNode;
}

export function CodeCard(props: CodeCardProps) {
  const card = useRef<HTMLDivElement>(null);
  useEffect(() => {
    // Some browsers give a promise, which is no clean-up.
    void card.current?.scrollIntoView({ block: "nearest" });
  }, []);
  return (
    <div ref={card} className="code-card" {...props.data}>
      <QrCode text={props.text} label={props.label} />
      <div className="code-card__side">{props.children}</div>
    </div>
  );
}
