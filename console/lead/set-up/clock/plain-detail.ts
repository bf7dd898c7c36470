/**
 * What the hub tells technically of a source of time (hub/clock/sources, English), as a sentence
 * for people; null where its state says it all. Names of errors are those of POSIX.
 */
import type { WordKey } from "../../../words/words.ts";
import type { SourceStatus } from "./clock-status.ts";

export function plainDetail({
  kind,
  state,
  detail,
}: Pick<SourceStatus, "kind" | "state" | "detail">): WordKey | null {
  if (detail === "from before the restart") return "lead.clock.why.kept";
  switch (kind) {
    case "gps":
      if (detail === "pulse per second") return "lead.clock.why.gpsPulse";
      if (/no pulse/.test(detail)) return "lead.clock.why.gpsNoPulse";
      if (state !== "unreachable") return null;
      return /ECONNREFUSED/.test(detail) ? "lead.clock.why.gpsAbsent" : "lead.clock.why.gpsGone";
    case "ntp":
      if (detail === "kissRate") return "lead.clock.why.askedTooOften";
      if (detail === "kissDeny") return "lead.clock.why.refuses";
      if (/name not found|ENOTFOUND|EAI_AGAIN/.test(detail)) return "lead.clock.why.noName";
      if (/ENETUNREACH|EHOSTUNREACH|ENETDOWN|EADDRNOTAVAIL/.test(detail)) return "lead.clock.why.noNetwork";
      return state === "unreachable" ? "lead.clock.why.noAnswer" : null;
    case "system":
      // Its state says "in use" where there is nothing better.
      if (/not synchronised/.test(detail)) return "lead.clock.why.notSet";
      return /does not say/.test(detail) ? "lead.clock.why.notSaid" : null;
    case "hand":
      return null;
  }
}
