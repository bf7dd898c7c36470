/** Either the PIN or the console: the token lives on this device until somebody signs out. */
import { type ComponentProps, useEffect, useMemo, useRef, useState } from "react";
import { openBoard } from "../link/open-board.ts";
import { type LeadSession, openLeadSession } from "../link/open-session.ts";
import { Fence } from "../parts/fence.tsx";
import { usePalette } from "../parts/use-palette.ts";
import { useWords } from "../words/words.ts";
import { BrokenConsole, ConsoleFrame } from "./console-frame.tsx";
import { takeCode } from "./shell/code-in-address.ts";
import { hubApi } from "./shell/hub-api.ts";
import { LeadContext } from "./shell/lead-context.ts";
import { type LeadToken, readToken, writeToken } from "./shell/lead-token.ts";
import { SignIn } from "./shell/sign-in.tsx";
import { useCalmView } from "./shell/use-calm-view.ts";

type Ended = ComponentProps<typeof SignIn>["ended"];

interface SignedInProps {
  token: LeadToken;
  signOut: (byHub: boolean) => void;
  restoring: () => void;
}

export function LeadApp() {
  useWords();
  // Taken out of the address in any case; it is of use only to a device that is not signed in.
  const [code, setCode] = useState(takeCode);
  const [token, setToken] = useState<LeadToken | null>(readToken);
  const [ended, setEnded] = useState<Ended>(null);
  const restored = useRef(false);
  const take = (next: LeadToken | null, byHub = false) => {
    writeToken(next);
    setToken(next);
    setEnded(!byHub ? null : restored.current ? "by restore" : "by hub");
    // Several answers may say that the session is over: only a new one ends the restore.
    if (next) restored.current = false;
    setCode(null);
  };
  if (!token) return <SignedOut ended={ended} code={code} signedIn={(next) => take(next)} />;
  return (
    <SignedIn
      key={token}
      token={token}
      signOut={(byHub) => take(null, byHub)}
      restoring={() => {
        restored.current = true;
      }}
    />
  );
}

/** The clock runs before anybody has signed in, too: as a board's, which is open to anyone. */
function SignedOut(props: { ended: Ended; code: string | null; signedIn: (token: LeadToken) => void }) {
  useEffect(() => {
    const board = openBoard();
    return () => board.close();
  }, []);
  // In the colours chosen on this device; by itself it stays for sunlight, as it knows no eclipse.
  usePalette(null, () => null);
  return <SignIn ended={props.ended} code={props.code} onSignedIn={props.signedIn} />;
}

function SignedIn(props: SignedInProps) {
  const { token } = props;
  const [session, setSession] = useState<LeadSession | null>(null);
  useEffect(() => {
    const opened = openLeadSession(token);
    setSession(opened);
    return () => opened.close();
  }, [token]);
  return session && <Linked session={session} {...props} />;
}

function Linked(props: SignedInProps & { session: LeadSession }) {
  const { session, token, signOut, restoring } = props;
  const view = useCalmView(session);
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
      restoring,
    }),
    [session, view, api, signOut, restoring],
  );
  return (
    <LeadContext value={lead}>
      <Fence instead={<BrokenConsole />}>
        <ConsoleFrame />
      </Fence>
    </LeadContext>
  );
}
