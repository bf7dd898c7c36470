/** The board's entry: a page for everyone, read-only, in the reader's language. */
import "../parts/palette.css";
import "../parts/fonts.css";
import "../parts/base.css";
import "../words/bundles/common.ts";
import "../words/bundles/board.ts";
import { StrictMode } from "react";
import { createRoot } from "react-dom/client";
import { startLanguage } from "../parts/language.ts";
import { untilThere } from "../parts/late.tsx";
import { BoardPage } from "./board-page.tsx";

/**
 * A relay says in the page that it has no socket. Until its part is there the page says glasses on, and
 * goes on asking for it: a crowd's network drops single files, and nobody may be there to reload.
 */
const way = untilThere(() =>
  document.documentElement.dataset.way === "fetch"
    ? import("../link/fetch-board.ts")
    : import("../link/open-board.ts"),
);

startLanguage();
// Another code scanned into the same page changes nothing of it but its address.
window.addEventListener("hashchange", () => window.location.reload());
const page = document.getElementById("page");
if (!page) throw new Error("board/index.html has no #page");
const root = createRoot(page);
void way.then((part) => {
  if (!part) return;
  const session = part.openBoard();
  root.render(
    <StrictMode>
      <BoardPage session={session} />
    </StrictMode>,
  );
});
