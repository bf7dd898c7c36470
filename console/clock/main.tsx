/** The entry of the clock to photograph: open to anyone, and it goes on alone when the hub is gone. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/bundles/common.ts";
import "../words/bundles/clock.ts";
import { createRoot } from "react-dom/client";
import { openBoard } from "../link/open-board.ts";
import { keepAtHand } from "../offline/keep-at-hand.ts";
import { startLanguage } from "../parts/language.ts";
import { ClockPage } from "./clock-page.tsx";

startLanguage();
// On plain http only the rig page is kept.
if (window.isSecureContext) keepAtHand("/clock");
const page = document.getElementById("page");
if (!page) throw new Error("clock/index.html has no #page");
createRoot(page).render(<ClockPage session={openBoard()} />);
