/** An empty, loading or broken place: what is missing in one sentence, and one thing to do. */
import type { ReactNode } from "react";
import "./empty-note.css";

interface EmptyNoteProps {
  text: string;
  /** A button or a link; left out when waiting is all there is to do. */
  action?: ReactNode;
}

export function EmptyNote({ text, action }: EmptyNoteProps) {
  return (
    <div className="empty-note" role="status">
      <p>{text}</p>
      {action}
    </div>
  );
}
