/** The rig page: joins by its link, then shows set-up, run and report. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/bundles/common.ts";
import "../words/bundles/rig.ts";
import { createRoot } from "react-dom/client";
import { untilThere } from "../parts/late.tsx";
import { startWords } from "./device/language.ts";
import { JoinGate } from "./join/join-gate.tsx";
import "./styles.ts";

const root = document.getElementById("root");
if (root) {
  // A language that cannot be fetched now must not hold the page up: English stands by.
  void startWords();
  createRoot(root).render(<JoinGate />);
  // Comes after what the page needs to start, in one file with what it needs next.
  void untilThere(() => import("./rig-page.tsx")).then((part) => part?.keepRigAtHand());
}
