/**
 * What would come of a plan if it were saved, asked of the hub a moment after the last change to it.
 * The answer before stays until the next is there, so that nothing on the screen jumps while somebody
 * types; what a hub in need of rest turns away is asked again.
 */
import { useEffect, useState } from "react";
import type { Assessment } from "../../../../shared/plan/assess/assess-plan.ts";
import type { PlanDraft } from "../../../../shared/plan/model/plan.ts";
import type { Problem } from "../../shell/hub-api.ts";
import { useLead } from "../../shell/lead-context.ts";

export interface PlanCheck {
  /** Of the last draft that could be looked at; null until then. */
  assessment: Assessment | null;
  /** The draft has changed since, or its answer is on its way. */
  waiting: boolean;
  problem: Problem | null;
}

interface Answered extends Omit<PlanCheck, "waiting"> {
  /** The draft that was answered, as text. */
  asked: string | null;
}

/** After the last key: people pause longer between words than between letters. */
const PAUSE_MS = 400;
const AGAIN_MS = 2000;

/** `draft`: null while nothing can be asked, as with a field that cannot be read. */
export function usePlanCheck(draft: PlanDraft | null): PlanCheck {
  const { api } = useLead();
  const [answered, setAnswered] = useState<Answered>({ asked: null, assessment: null, problem: null });
  const asked = draft && JSON.stringify(draft);
  useEffect(() => {
    if (asked === null) return;
    let over = false;
    let timer: ReturnType<typeof setTimeout>;
    const ask = async () => {
      const answer = await api.send<Assessment>("POST", "/api/plan/check", JSON.parse(asked));
      if (over) return;
      if (answer.ok) setAnswered({ asked, assessment: answer.value, problem: null });
      else if (answer.problem.code === "too-many") timer = setTimeout(ask, AGAIN_MS);
      else setAnswered(({ assessment }) => ({ asked, assessment, problem: answer.problem }));
    };
    timer = setTimeout(ask, PAUSE_MS);
    return () => {
      over = true;
      clearTimeout(timer);
    };
  }, [api, asked]);
  const { assessment, problem } = answered;
  return { assessment, problem, waiting: answered.asked !== asked };
}
