/** Entry of the lead's console. */
import "../words/parts/common.ts";
import "../words/parts/kinds.ts";
import "../words/parts/plan.ts";
import "../words/parts/lead.ts";
import "../words/parts/rules.ts";
import "../words/parts/coordinates.ts";
import "../parts/base.css";
import "../parts/fonts.css";
import "../parts/palette.css";
import "./lead.css";
import { createRoot } from "react-dom/client";
import { startLanguage } from "../parts/language.ts";
import { LeadApp } from "./lead-app.tsx";

const page = document.getElementById("page");
startLanguage();
if (page) createRoot(page).render(<LeadApp />);
