/** Either the PIN or the console: the token lives on this device until somebody signs out. */
import { useEffect, useMemo, useState } from "react";
import { openBoard } from "../link/open-board.ts";
import { type LeadSession, openLeadSession } from "../link/open-session.ts";
import { useSessionView } from "../link/use-session.ts";
import { useWords } from "../words/words.ts";
import { ConsoleFrame } from "./console-frame.tsx";
import { takeCode } from "./shell/code-in-address.ts";
import { hubApi } from "./shell/hub-api.ts";
import { LeadContext } from "./shell/lead-context.ts";
import { type LeadToken, readToken, writeToken } from "./shell/lead-token.ts";
import { SignIn } from "./shell/sign-in.tsx";

export function LeadApp() {
  useWords();
  // Taken out of the address in any case; it is of use only to a device that is not signed in.
  const [code, setCode] = useState(takeCode);
  const [token, setToken] = useState<LeadToken | null>(readToken);
  const [ended, setEnded] = useState(false);
  const take = (next: LeadToken | null, byHub = false) => {
    writeToken(next);
    setToken(next);
    setEnded(byHub);
    setCode(null);
  };
  if (!token) return <SignedOut ended={ended} code={code} signedIn={(next) => take(next)} />;
  return <SignedIn key={token} token={token} signOut={(byHub) => take(null, byHub)} />;
}

/** The clock runs before anybody has signed in, too: as a board's, which is open to anyone. */
function SignedOut(props: { ended: boolean; code: string | null; signedIn: (token: LeadToken) => void }) {
  useEffect(() => {
    const board = openBoard();
    return () => board.close();
  }, []);
  return <SignIn ended={props.ended} code={props.code} onSignedIn={props.signedIn} />;
}

function SignedIn(props: { token: LeadToken; signOut: (byHub: boolean) => void }) {
  const { token, signOut } = props;
  const [session, setSession] = useState<LeadSession | null>(null);
  useEffect(() => {
    const opened = openLeadSession(token);
    setSession(opened);
    return () => opened.close();
  }, [token]);
  return session && <Linked session={session} token={token} signOut={signOut} />;
}

function Linked(props: { session: LeadSession; token: LeadToken; signOut: (byHub: boolean) => void }) {
  const { session, token, signOut } = props;
  const view = useSessionView(session);
  // biome-ignore lint/correctness/useExhaustiveDependencies: signOut is new at every drawing and does the same.
  const api = useMemo(() => hubApi(token, () => signOut(true)), [token]);
  const gone = view.refused?.code === "not-signed-in";
  // biome-ignore lint/correctness/useExhaustiveDependencies: as above.
  useEffect(() => {
    if (gone) signOut(true);
  }, [gone]);
  const lead = useMemo(
    () => ({
      session,
      view,
      api,
      signOut: () => {
        // The hub forgets the token, too; this device forgets it in any case.
        void api.send("DELETE", "/api/lead/session");
        signOut(false);
      },
    }),
    [session, view, api, signOut],
  );
  return (
    <LeadContext value={lead}>
      <ConsoleFrame />
    </LeadContext>
  );
}
