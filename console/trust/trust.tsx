/** The trust page: how this phone reaches the hub, and how it gets the most of what there is. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/bundles/common.ts";
import "../words/bundles/trust.ts";
import { createRoot } from "react-dom/client";
import { keepAtHand } from "../offline/keep-at-hand.ts";
import { startWords } from "../rig/device/language.ts";
import { TrustPage } from "./trust-page.tsx";
import "./trust.css";

const root = document.getElementById("root");
if (root) {
  void startWords();
  // On plain http only the rig page is kept: phones are to leave this one.
  if (window.isSecureContext) keepAtHand("/trust", 0);
  createRoot(root).render(<TrustPage />);
}
