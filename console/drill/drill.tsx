/** Practising alone: the rig page over a drill of this phone's own, without a lead and without the hub. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/bundles/common.ts";
import "../words/bundles/rig.ts";
import { createRoot } from "react-dom/client";
import { keepAtHand } from "../offline/keep-at-hand.ts";
import { startWords } from "../rig/device/language.ts";
import { DrillGate } from "./drill-gate.tsx";
import "../rig/styles.ts";
import "./drill.css";

const root = document.getElementById("root");
if (root) {
  void startWords();
  keepAtHand("/drill");
  createRoot(root).render(<DrillGate />);
}
