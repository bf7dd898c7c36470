/** The rig page: joins by its link, then shows set-up, run and report. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/parts/common.ts";
import "../words/parts/plan.ts";
import "../words/parts/rig.ts";
import { createRoot } from "react-dom/client";
import { startWords } from "./device/language.ts";
import { JoinGate } from "./join/join-gate.tsx";
import "./rig.css";
import "./near-cue.css";

const AGAIN_MS = 4000;

/** Comes after what the page needs to start; asked for again until it is there. */
function keep(): void {
  import("../offline/keep-at-hand.ts").then(
    ({ keepAtHand }) => keepAtHand("/rig"),
    () => setTimeout(keep, AGAIN_MS),
  );
}

const root = document.getElementById("root");
if (root) {
  // A language that cannot be fetched now must not hold the page up: English stands by.
  void startWords();
  createRoot(root).render(<JoinGate />);
  keep();
}
