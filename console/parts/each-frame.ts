/**
 * Runs a function at every frame the screen draws, outside React's state: for clocks whose text
 * changes each second at the right instant. Nothing runs while the page is hidden.
 */
import { useEffect, useRef } from "react";

export function useEachFrame(draw: () => void): void {
  const latest = useRef(draw);
  latest.current = draw;
  useEffect(() => {
    let frame = 0;
    const loop = () => {
      latest.current();
      frame = requestAnimationFrame(loop);
    };
    loop();
    return () => cancelAnimationFrame(frame);
  }, []);
}

/** Writes a text only when it changed, so that a quiet frame costs nothing. */
export function writeText(element: Element | null, text: string): void {
  if (element && element.textContent !== text) element.textContent = text;
}
