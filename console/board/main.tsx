/** The board's entry: a page for everyone, read-only, in the reader's language. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/bundles/common.ts";
import "../words/bundles/board.ts";
import { StrictMode } from "react";
import { createRoot } from "react-dom/client";
import { openBoard } from "../link/open-board.ts";
import { startLanguage } from "../parts/language.ts";
import { BoardPage } from "./board-page.tsx";

startLanguage();
const session = openBoard();
const page = document.getElementById("page");
if (!page) throw new Error("board/index.html has no #page");
createRoot(page).render(
  <StrictMode>
    <BoardPage session={session} />
  </StrictMode>,
);
