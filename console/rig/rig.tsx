/** The rig page: joins by its link, then shows set-up, run and report. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/bundles/common.ts";
import "../words/bundles/rig.ts";
import { createRoot } from "react-dom/client";
import { startWords } from "./device/language.ts";
import { untilThere } from "./device/late.tsx";
import { JoinGate } from "./join/join-gate.tsx";
// Styles of what comes later, too: one sheet, so that no part waits for a second file. The page's own
// come after those of the parts, which they fit to it.
import "../parts/alert-line.css";
import "../parts/clock-face.css";
import "../parts/confirm-button.css";
import "../parts/countdown.css";
import "../parts/filter-mark.css";
import "../parts/hold-button.css";
import "../parts/practice-banner.css";
import "../parts/time-line.css";
import "./rig.css";
import "./near-cue.css";
import "./setup/setup.css";
import "./report/report.css";

const root = document.getElementById("root");
if (root) {
  // A language that cannot be fetched now must not hold the page up: English stands by.
  void startWords();
  createRoot(root).render(<JoinGate />);
  // Comes after what the page needs to start, in one file with what it needs next.
  void untilThere(() => import("./rig-page.tsx")).then((part) => part?.keepRigAtHand());
}
