/** The rig page: joins by its link, then shows set-up, run and report. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/parts/common.ts";
import "../words/parts/plan.ts";
import "../words/parts/rig.ts";
import { createRoot } from "react-dom/client";
import { keepAtHand } from "../offline/keep-at-hand.ts";
import { startWords } from "./device/language.ts";
import { JoinGate } from "./join/join-gate.tsx";
import "./rig.css";

const root = document.getElementById("root");
if (root) {
  // A language that cannot be fetched now must not hold the page up: English stands by.
  void startWords();
  createRoot(root).render(<JoinGate />);
  keepAtHand("/rig");
}
