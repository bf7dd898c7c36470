/**
 * The way in: reads the link, remembers the rig, opens the session. Another rig's code scanned
 * on the same phone adds that rig, in the page that stands already (a changed fragment) or in a
 * new one; the others hear of it. The session goes on through all of it, and so does what sounds.
 */
import { useEffect, useState } from "react";
import type { RigLink } from "../../../shared/link/session-types.ts";
import { BrowserStore } from "../../link/browser-store.ts";
import { openRigSession, type PageSession } from "../../link/open-session.ts";
import { otherPages } from "../../link/other-pages.ts";
import { EmptyNote } from "../../parts/empty-note.tsx";
import { late } from "../../parts/late.tsx";
import { useWords } from "../../words/words.ts";
import { type Joining, joinRigs, keepSettled, leaveRig } from "./joined-rigs.ts";
import { Opening } from "./opening.tsx";

/** All that an operator works with, as one file: either all of it is there or nothing yet. */
const RigPage = late(() => import("../rig-page.tsx").then((part) => part.RigPage));
// On its way beside the socket's client, before the hub has said anything.
void RigPage.fetch();

interface Open {
  joining: Joining;
  session: PageSession | null;
  leave: (rigId: string) => void;
}

export function JoinGate() {
  const { t } = useWords();
  const [open, setOpen] = useState<Open | null>(null);
  useEffect(() => {
    const store = new BrowserStore("noonfall-rig");
    let session: PageSession | null = null;
    let rigs: readonly RigLink[] = [];
    let taken: readonly RigLink[] = [];
    let gone = false;
    const join = async (fragment: string): Promise<void> => {
      const joining = await joinRigs(fragment, store, rigs, taken);
      if (gone) return;
      const links = session?.view().links;
      const changed = JSON.stringify(links) !== JSON.stringify(joining.rigs);
      rigs = links && !changed ? links : joining.rigs;
      if (session && changed) session.join(rigs, joining.left);
      // Without a rig the page still delivers what it had reported of those it has left.
      if (!session && rigs.length + joining.left.length > 0)
        session = openRigSession(rigs, store, joining.left);
      session?.subscribe(keep);
      setOpen({ joining, session, leave });
      if (fragment !== "") others.tell("");
    };
    const keep = (): void => {
      const links = session?.view().links ?? rigs;
      if (links === rigs) return;
      const before = rigs;
      rigs = links;
      then(() => keepSettled(store, before, links).catch(() => undefined));
    };
    const leave = (rigId: string): void => {
      then(async () => {
        await leaveRig(store, rigId).catch(() => undefined);
        taken = [...taken, ...rigs.filter(({ id }) => id === rigId)];
        rigs = rigs.filter(({ id }) => id !== rigId);
        await join("");
        others.tell("");
      });
    };
    // One after the other, so that the last one shown knows of all.
    let joined = Promise.resolve();
    const then = (task: () => Promise<void>): void => {
      joined = joined.then(task);
    };
    const others = otherPages("rigs", () => then(() => join("")));
    then(() => join(location.hash));
    const scanned = ({ newURL }: HashChangeEvent): void => {
      const { hash } = new URL(newURL);
      if (hash.length > 1) then(() => join(hash));
    };
    window.addEventListener("hashchange", scanned);
    return () => {
      gone = true;
      window.removeEventListener("hashchange", scanned);
      others.close();
      session?.close();
    };
  }, []);

  if (!open) return <EmptyNote text={t("app.loading")} />;
  const { joining, session, leave } = open;
  if (!session || joining.rigs.length === 0) {
    return (
      <main
        className="rig-gate"
        data-screen="join"
        data-trouble={joining.bad.length > 0 ? "bad-link" : "no-rig"}
      >
        <h1>{t("app.name")}</h1>
        <EmptyNote text={t(joining.bad.length > 0 ? "rig.join.bad" : "rig.join.none")} />
      </main>
    );
  }
  return (
    <RigPage instead={<Opening session={session} />} joining={joining} session={session} onLeave={leave} />
  );
}
