/**
 * Which palette a page wears. By itself: glare, and dusk from C2−60 s to C3+30 s of a total site,
 * by run time. By hand: what the person chose, kept on the device until "auto" is chosen again.
 */
import { useEffect, useRef, useState } from "react";
import "./palette.css";

type Palette = "glare" | "dusk";
export type PaletteChoice = Palette | "auto";

const DUSK_BEFORE_C2_MS = 60_000;
const DUSK_AFTER_C3_MS = 30_000;
const KEY = "noonfall.palette";
const CHOICES: readonly string[] = ["glare", "dusk", "auto"];

/** C2 and C3 of a totality, run time ms; null where it never gets dark. */
type DarkTime = { c2: number | null; c3: number | null } | null;

export function autoPalette(dark: DarkTime, runNow: number | null): Palette {
  if (dark === null || dark.c2 === null || dark.c3 === null || runNow === null) return "glare";
  return runNow >= dark.c2 - DUSK_BEFORE_C2_MS && runNow < dark.c3 + DUSK_AFTER_C3_MS ? "dusk" : "glare";
}

/** Applies the palette to the document and gives what is chosen. `readRunNow` is read once a second. */
export function usePalette(
  dark: DarkTime,
  readRunNow: () => number | null,
): { palette: Palette; choice: PaletteChoice; choose: (choice: PaletteChoice) => void } {
  const [choice, setChoice] = useState<PaletteChoice>(storedChoice);
  const [auto, setAuto] = useState<Palette>(() => autoPalette(dark, readRunNow()));
  const latest = useRef({ dark, readRunNow });
  latest.current = { dark, readRunNow };
  useEffect(() => {
    const look = () => setAuto(autoPalette(latest.current.dark, latest.current.readRunNow()));
    look();
    const timer = setInterval(look, 1000);
    return () => clearInterval(timer);
  }, []);
  const palette = choice === "auto" ? auto : choice;
  useEffect(() => {
    document.documentElement.dataset.palette = palette;
    const paper = getComputedStyle(document.documentElement).getPropertyValue("--paper").trim();
    document.querySelector('meta[name="theme-color"]')?.setAttribute("content", paper);
  }, [palette]);
  const choose = (next: PaletteChoice) => {
    setChoice(next);
    try {
      localStorage.setItem(KEY, next);
    } catch {
      // A device that keeps nothing still wears it until it is closed.
    }
  };
  return { palette, choice, choose };
}

function storedChoice(): PaletteChoice {
  try {
    const stored = localStorage.getItem(KEY);
    return stored !== null && CHOICES.includes(stored) ? (stored as PaletteChoice) : "auto";
  } catch {
    return "auto";
  }
}
