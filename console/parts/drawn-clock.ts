/**
 * Draws clocks outside React's state, when what they say changes: at the right instant of each second,
 * not at every frame, which kept a phone's processor awake for nothing. Nothing runs while the page is hidden.
 */
import { useEffect } from "react";

/** Clocks are set, corrected and run fast in a practice: none is left unread for longer, ms. */
const LONGEST_MS = 200;

/** `draw` gives how many ms later it has something else to draw; 0: at the next frame. */
export function useDrawn(draw: () => number): void {
  // After every render anew, since then it may say something else at once.
  useEffect(() => keepDrawn(draw));
}

/** Draws now and from then on; gives what ends it. */
export function keepDrawn(draw: () => number): () => void {
  let frame = 0;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const loop = () => {
    const waitMs = document.hidden ? 0 : draw();
    // No frame comes while the page is hidden.
    if (waitMs > 0) timer = setTimeout(loop, Math.min(Math.ceil(waitMs), LONGEST_MS));
    else frame = requestAnimationFrame(loop);
  };
  loop();
  return () => {
    clearTimeout(timer);
    cancelAnimationFrame(frame);
  };
}

/** Until a text of whole seconds changes, with so long to go; of an instant: with minus it. ms */
export function untilSecond(toGoMs: number): number {
  return ((toGoMs % 1000) + 1000) % 1000;
}

/** Writes a text only when it changed, so that a look that finds nothing new costs nothing. */
export function writeText(element: Element | null, text: string): void {
  if (element && element.textContent !== text) element.textContent = text;
}
