/** Entry of the lead's console. */
import "../words/bundles/common.ts";
import "../words/bundles/kinds.ts";
import "../words/bundles/plan.ts";
import "../words/bundles/lead.ts";
import "../words/bundles/rules.ts";
import "../words/bundles/coordinates.ts";
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
