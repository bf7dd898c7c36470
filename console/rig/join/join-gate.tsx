/**
 * The way in: reads the link, remembers the rig, opens the session. Another rig's code scanned
 * on the same phone adds that rig (a new tab, or a changed fragment in this one).
 */
import { useEffect, useState } from "react";
import { openRigSession, type PageSession } from "../../link/open-session.ts";
import { EmptyNote } from "../../parts/empty-note.tsx";
import { useWords } from "../../words/words.ts";
import { RigPage } from "../rig-page.tsx";
import { type Joining, joinRigs } from "./joined-rigs.ts";

interface Open {
  joining: Joining;
  session: PageSession | null;
}

export function JoinGate() {
  const { t } = useWords();
  const [open, setOpen] = useState<Open | null>(null);
  useEffect(() => {
    let session: PageSession | null = null;
    let gone = false;
    const join = async (fragment: string): Promise<void> => {
      const joining = await joinRigs(fragment);
      if (gone) return;
      session?.close();
      // Without a rig the page still delivers what it had reported of those it has left.
      session =
        joining.rigs.length + joining.left.length > 0
          ? openRigSession(joining.rigs, joining.store, joining.left)
          : null;
      setOpen({ joining, session });
    };
    // One after the other, so that the last one shown knows of all.
    let joined = join(location.hash);
    const scanned = ({ newURL }: HashChangeEvent): void => {
      const { hash } = new URL(newURL);
      if (hash.length > 1) joined = joined.then(() => join(hash));
    };
    window.addEventListener("hashchange", scanned);
    return () => {
      gone = true;
      window.removeEventListener("hashchange", scanned);
      session?.close();
    };
  }, []);

  if (!open) return <EmptyNote text={t("app.loading")} />;
  if (!open.session || open.joining.rigs.length === 0) {
    return (
      <main
        className="rig-gate"
        data-screen="join"
        data-trouble={open.joining.bad.length > 0 ? "bad-link" : "no-rig"}
      >
        <h1>{t("app.name")}</h1>
        <EmptyNote text={t(open.joining.bad.length > 0 ? "rig.join.bad" : "rig.join.none")} />
      </main>
    );
  }
  return (
    <RigPage
      key={open.joining.rigs.map((rig) => rig.id).join("&")}
      joining={open.joining}
      session={open.session}
    />
  );
}
