/** Entry of the lead's console. */
import "../words/parts/common.ts";
import "../words/parts/plan.ts";
import "../words/parts/lead.ts";
import "../words/parts/rules.ts";
import "../words/parts/coordinates.ts";
import "../parts/base.css";
import "../parts/fonts.css";
import "../parts/palette.css";
import "./lead.css";
import { createRoot } from "react-dom/client";
import { loadWords, preferredLocale } from "../words/words.ts";
import { LeadApp } from "./lead-app.tsx";

const page = document.getElementById("page");
if (page) createRoot(page).render(<LeadApp />);
// English is shown until the reader's language has come; a missing catalogue changes nothing.
loadWords(preferredLocale(navigator.languages)).catch(() => undefined);
