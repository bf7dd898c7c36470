/** Keys of the whole list: undo and redo, and Escape, which closes the open cue and stands at its sentence. */
import { useEffect, useRef } from "react";

interface CueKeys {
  undo: () => void;
  redo: () => void;
  /** Closes the open cue and gives its id; null where none is open. */
  close: () => string | null;
}

export function useCueKeys(keys: CueKeys): void {
  const now = useRef(keys);
  now.current = keys;
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      const { target } = event;
      if (event.key === "Escape") {
        const closed = now.current.close();
        const row = closed === null ? null : document.querySelector(`[data-cue="${CSS.escape(closed)}"]`);
        row?.querySelector<HTMLElement>("[data-action=open-cue]")?.focus();
        return;
      }
      // In a field the browser takes back letters.
      const typing = target instanceof HTMLInputElement && target.type !== "checkbox";
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || typing) return;
      event.preventDefault();
      if (event.shiftKey) now.current.redo();
      else now.current.undo();
    };
    document.addEventListener("keydown", onKey);
    return () => document.removeEventListener("keydown", onKey);
  }, []);
}
