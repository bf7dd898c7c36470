/** The marshal's entry: a helper among the public, by the link that a lead gave. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/bundles/common.ts";
import "../words/bundles/board.ts";
import "../words/bundles/marshal.ts";
import { StrictMode } from "react";
import { createRoot } from "react-dom/client";
import { openBoard } from "../link/open-board.ts";
import { startLanguage } from "../parts/language.ts";
import { MarshalPage } from "./marshal-page.tsx";

startLanguage();
// Another code scanned into the same page changes nothing of it but its address.
window.addEventListener("hashchange", () => window.location.reload());
const session = openBoard();
const token = new URLSearchParams(window.location.hash.slice(1)).get("token") ?? "";
const page = document.getElementById("page");
if (!page) throw new Error("marshal/index.html has no #page");
createRoot(page).render(
  <StrictMode>
    <MarshalPage session={session} token={token} />
  </StrictMode>,
);
