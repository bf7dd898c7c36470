/**
 * What stands until the page's own part is there: the truth about the link, "cover every lens" where
 * it is in force (S7), and that filters are on until then. Without a hub the part comes from what the
 * phone keeps.
 */
import type { PageSession } from "../../link/open-session.ts";
import { useNow, useSessionView } from "../../link/use-session.ts";
import { CoverScreen } from "../../parts/cover-screen.tsx";
import { EmptyNote } from "../../parts/empty-note.tsx";
import { LinkLine } from "../../parts/link-line.tsx";
import { useWords } from "../../words/words.ts";

const DRAW_MS = 1000;

export function Opening({ session }: { session: PageSession }) {
  const { t } = useWords();
  const { linkState, sinceUtcMs, queued, cover } = useSessionView(session);
  useNow(session, DRAW_MS);
  const { boundMs, utcBoundMs } = session.reading();
  return (
    <main className="rig-page" data-screen="opening">
      {cover ? <CoverScreen /> : null}
      <h1 className="only-read-aloud">{t("app.name")}</h1>
      <LinkLine
        linkState={linkState}
        sinceUtcMs={sinceUtcMs}
        boundMs={boundMs}
        utcBoundMs={utcBoundMs - boundMs}
        queued={queued}
      />
      <EmptyNote text={t("rig.run.coming")} />
    </main>
  );
}
