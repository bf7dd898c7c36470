/**
 * Editing the plan with others at it: read with its ETag, saved with If-Match. When somebody
 * else saved in between, nothing is overwritten: the editor says who and what revision, and the
 * lead either takes theirs or saves their own change on top of it.
 */
import { useCallback, useEffect, useState } from "react";
import type { Plan, PlanDraft } from "../../../shared/plan/model/plan.ts";
import type { PlanNote } from "../../../shared/plan/plan-note.ts";
import type { Problem } from "../shell/hub-api.ts";
import { useLead } from "../shell/lead-context.ts";

export interface PlanConflict {
  revision: number;
  /** Who saved it, e.g. "lead:Ada"; null when the hub could not say. */
  by: string | null;
}

export type PlanChange = (plan: Plan) => PlanDraft;

export interface PlanEditor {
  /** The plan as it was read; null until then. */
  base: Plan | null;
  problem: Problem | null;
  conflict: PlanConflict | null;
  saving: boolean;
  /** What the hub changed of its own to make the plan fit. */
  notes: readonly PlanNote[];
  /** Reads the plan anew and forgets problems. */
  reload(): Promise<Plan | null>;
  /** Saves the changed plan; true when the hub has it. */
  save(change: PlanChange): Promise<boolean>;
  /** Saves on top of what the other lead saved. */
  saveOver(change: PlanChange): Promise<boolean>;
  /** Forgets the last refusal. */
  forget(): void;
}

/** The plan as it was saved, and what else the hub did. */
type Saved = Plan & { notes?: PlanNote[] };

interface Read {
  plan: Plan;
  etag: string;
}

export function usePlanEditor(): PlanEditor {
  const { api } = useLead();
  const [read, setRead] = useState<Read | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [conflict, setConflict] = useState<PlanConflict | null>(null);
  const [saving, setSaving] = useState(false);
  const [notes, setNotes] = useState<readonly PlanNote[]>([]);

  const fetchPlan = useCallback(async (): Promise<Read | null> => {
    const answer = await api.get<Plan>("/api/plan");
    if (!answer.ok) {
      setProblem(answer.problem);
      return null;
    }
    const next = { plan: answer.value, etag: answer.headers.get("ETag") ?? "" };
    setRead(next);
    return next;
  }, [api]);

  useEffect(() => {
    void fetchPlan();
  }, [fetchPlan]);

  const forget = () => {
    setProblem(null);
    setConflict(null);
  };

  const put = async (from: Read, change: PlanChange): Promise<boolean> => {
    setSaving(true);
    forget();
    const answer = await api.send<Saved>("PUT", "/api/plan", change(from.plan), { "If-Match": from.etag });
    if (answer.ok) {
      const { notes: told = [], ...plan } = answer.value;
      setNotes(told);
      setRead({ plan, etag: answer.headers.get("ETag") ?? "" });
      setSaving(false);
      return true;
    }
    if (answer.problem.code === "stale-plan") setConflict(conflictOf(from, answer.problem));
    else setProblem(answer.problem);
    setSaving(false);
    return false;
  };

  return {
    base: read?.plan ?? null,
    problem,
    conflict,
    saving,
    notes,
    forget,
    async reload() {
      forget();
      return (await fetchPlan())?.plan ?? null;
    },
    save: async (change) => (read ? put(read, change) : false),
    async saveOver(change) {
      const fresh = await fetchPlan();
      return fresh ? put(fresh, change) : false;
    },
  };
}

/** The refusal says who saved last. */
function conflictOf(from: Read, problem: Problem): PlanConflict {
  const { revision, by } = problem.data ?? {};
  return {
    revision: typeof revision === "number" ? revision : from.plan.revision + 1,
    by: typeof by === "string" ? by : null,
  };
}
