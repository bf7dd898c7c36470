/**
 * Keys of the console that work wherever the focus is. F8 covers every lens (S7): it makes safe, so it
 * is one key, and no letter, so that nobody gives the order by writing a word. Escape closes what was
 * opened last.
 */
import { useEffect } from "react";

export const COVER_KEY = "F8";

export function useKey(key: string, act: () => void): void {
  useEffect(() => {
    const down = (event: KeyboardEvent): void => {
      const { repeat, ctrlKey, altKey, metaKey } = event;
      if (event.key !== key || repeat || ctrlKey || altKey || metaKey) return;
      event.preventDefault();
      act();
    };
    window.addEventListener("keydown", down);
    return () => window.removeEventListener("keydown", down);
  });
}
