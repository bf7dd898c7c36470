/** What every screen of the console works with. */
import { createContext, useContext } from "react";
import type { SessionView } from "../../../shared/link/session-types.ts";
import type { LeadSession } from "../../link/open-session.ts";
import type { HubApi } from "./hub-api.ts";

export interface Lead {
  session: LeadSession;
  view: SessionView;
  api: HubApi;
  signOut: () => void;
  /** A site is restored in place of this one: the hub is about to end every session. */
  restoring: () => void;
}

export const LeadContext = createContext<Lead | null>(null);

/** Throws outside the console: a bug. */
export function useLead(): Lead {
  const lead = useContext(LeadContext);
  if (!lead) throw new Error("useLead is used outside the console");
  return lead;
}
