/**
 * One alert: word, shape and colour together (ISO 22324: red danger, amber caution). Danger is an
 * octagon, caution a triangle, advice a disc. It says what is wrong; its children say what to do.
 */
import "../words/bundles/pieces.ts";
import type { ReactNode } from "react";
import type { AlertPriority } from "../../shared/run/alerts/priority.ts";
import { useWords } from "../words/words.ts";
import { AlertShape } from "./alert-shape.tsx";
import "./alert-line.css";

interface AlertLineProps {
  priority: AlertPriority;
  title: string;
  /** Who, where, since when. */
  detail?: ReactNode;
  /** At most one action. */
  children?: ReactNode;
  /** Read aloud as it comes up; leave false where the page speaks for itself. */
  announce?: boolean;
}

export function AlertLine({ priority, title, detail, children, announce = false }: AlertLineProps) {
  const { t } = useWords();
  const role = announce ? (priority === "danger" ? "alert" : "status") : undefined;
  return (
    <div className="alert-line" data-priority={priority} role={role}>
      <AlertShape priority={priority} />
      <div className="alert-line-text">
        <p className="alert-line-title">
          <span className="alert-line-word">{t(`alert.${priority}`)}</span> {title}
        </p>
        {detail ? <p className="alert-line-detail">{detail}</p> : null}
      </div>
      {children ? <div className="alert-line-action">{children}</div> : null}
    </div>
  );
}
