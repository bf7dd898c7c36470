/**
 * S7: "Cover every lens. Glasses on." over everything else. It has no way out of its own: it goes
 * when a lead releases the site. What a page offers beneath the words (a lead's release, an
 * operator's "covered") comes in as children.
 */
import { type ReactNode, useEffect, useRef } from "react";
import { useWords } from "../words/words.ts";
import { AlertShape } from "./alert-shape.tsx";
import "./cover-screen.css";

interface CoverScreenProps {
  /** Who ordered it and when, when that is known. */
  detail?: string | null;
  children?: ReactNode;
}

export function CoverScreen({ detail = null, children }: CoverScreenProps) {
  const { t } = useWords();
  const screen = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const before = document.activeElement;
    screen.current?.focus();
    return () => {
      if (before instanceof HTMLElement) before.focus();
    };
  }, []);
  return (
    <div
      className="cover-screen"
      role="alertdialog"
      aria-modal="true"
      aria-labelledby="cover-screen-words"
      tabIndex={-1}
      ref={screen}
    >
      <div className="cover-screen-inner">
        <AlertShape priority="danger" />
        <p className="cover-screen-words" id="cover-screen-words">
          <span>{t("cover.lenses")}</span> <span>{t("cover.glasses")}</span>
        </p>
        <p className="cover-screen-detail">{t("cover.until")}</p>
        {detail ? <p className="cover-screen-detail">{detail}</p> : null}
        {children ? <div className="cover-screen-actions">{children}</div> : null}
      </div>
    </div>
  );
}
