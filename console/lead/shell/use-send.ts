/** Something sent to the hub by a part of the console that says itself what was wrong with it. */
import { useCallback, useState } from "react";
import type { HubApi, Problem } from "./hub-api.ts";
import { useLead } from "./lead-context.ts";

/** `problem`: of what was sent last; null when the hub took it. */
export function useSend(): { send: HubApi["send"]; problem: Problem | null } {
  const { api } = useLead();
  const [problem, setProblem] = useState<Problem | null>(null);
  const send = useCallback<HubApi["send"]>(
    async (...sent) => {
      const answer = await api.send<never>(...sent);
      setProblem(answer.ok ? null : answer.problem);
      return answer;
    },
    [api],
  );
  return { send, problem };
}
