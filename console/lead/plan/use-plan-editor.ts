/**
 * Editing the plan with others at it. The page has it already, in the state that its session keeps;
 * what is edited is the plan as it was when editing began. Parts that differ are saved, each by
 * its own revision, and what came of them is read from the events, once. When somebody else saved
 * the same part in between, nothing is overwritten: the editor says who and what revision, and
 * the lead either takes theirs or saves their own change on top of it.
 */
import { useCallback, useEffect, useRef, useState } from "react";
import { ownValue } from "../../../shared/fields/own-key.ts";
import type { Plan, PlanDraft } from "../../../shared/plan/model/plan.ts";
import type { PlanNote } from "../../../shared/plan/plan-note.ts";
import type { Order } from "../../../shared/run/orders/commands.ts";
import type { Problem } from "../shell/hub-api.ts";
import { useLead } from "../shell/lead-context.ts";
import { type PartRequest, type PlanRead, partRequests } from "./plan-parts.ts";

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
  /** The plan's revision after this page's last save; null before any. */
  savedRevision: number | null;
  /** What the hub changed of its own to make the plan fit. */
  notes: readonly PlanNote[];
  /** Reads the plan anew and forgets problems. */
  reload(): Promise<Plan | null>;
  /** Saves the changed plan; true when the hub has it. */
  save(change: PlanChange): Promise<boolean>;
  /** Saves on top of what the other lead saved. */
  saveOver(change: PlanChange): Promise<boolean>;
  /** Undoes the last edit of a rig; true when the hub has done it. */
  undo(rigId: string): Promise<boolean>;
  /** Makes at one rig what was changed at another; true when the hub has done it. */
  copyEdits(fromRigId: string, toRigId: string): Promise<boolean>;
  /** Forgets the last refusal. */
  forget(): void;
}

/** What saving a part answers. */
interface Saved {
  revision: number;
  notes?: PlanNote[];
}

/** How long a save waits for its own event: without a link it comes later, and is read then. */
const EVENT_MS = 3000;

export function usePlanEditor(): PlanEditor {
  const { api, session, view } = useLead();
  const [read, setRead] = useState<PlanRead | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [conflict, setConflict] = useState<PlanConflict | null>(null);
  const [saving, setSaving] = useState(false);
  const [notes, setNotes] = useState<readonly PlanNote[]>([]);
  const [savedRevision, setSavedRevision] = useState<number | null>(null);
  /** Who waits for the event of a save, and from which revision of the plan on. */
  const waiting = useRef<{ revision: number; done: () => void } | null>(null);

  const readNow = useCallback((): PlanRead | null => {
    const { state } = session.view();
    if (!state) return null;
    const next = { plan: state.plan, planParts: state.planParts };
    setRead(next);
    return next;
  }, [session]);

  const revision = view.state?.plan.revision ?? null;
  useEffect(() => {
    if (revision === null) return;
    const awaited = waiting.current;
    if (awaited && revision < awaited.revision) return;
    if (awaited || !read) readNow();
    waiting.current = null;
    awaited?.done();
  }, [revision, read, readNow]);

  const forget = () => {
    setProblem(null);
    setConflict(null);
  };

  /** Until the state holds a revision; `read` is then what it holds. */
  const eventOf = (from: number) =>
    new Promise<void>((done) => {
      waiting.current = { revision: from, done };
      setTimeout(done, EVENT_MS);
      if ((session.view().state?.plan.revision ?? 0) < from) return;
      waiting.current = null;
      readNow();
      done();
    });

  const arrived = async (from: number) => {
    await eventOf(from);
    setSavedRevision(session.view().state?.plan.revision ?? null);
  };

  const refused = (from: PlanRead, refusal: Problem): false => {
    if (refusal.code === "stale-plan") setConflict(conflictOf(from, refusal));
    else setProblem(refusal);
    return false;
  };

  const send = async (from: PlanRead, requests: readonly PartRequest[]): Promise<boolean> => {
    const told: PlanNote[] = [];
    for (const { method, path, body, etag } of requests) {
      const answer = await api.send<Saved | null>(method, path, body, { "If-Match": etag });
      if (!answer.ok) return refused(from, answer.problem);
      told.push(...(answer.value?.notes ?? []));
    }
    setNotes(told);
    await arrived(from.plan.revision + requests.length);
    return true;
  };

  const put = async (from: PlanRead, change: PlanChange): Promise<boolean> => {
    setSaving(true);
    forget();
    try {
      return await send(from, partRequests(from, change(from.plan)));
    } finally {
      setSaving(false);
    }
  };

  /** An order on one rig's part. */
  const give = async (rigId: string, order: (ifRevision: number) => Order): Promise<boolean> => {
    if (!read) return false;
    forget();
    const answer = await session.order(order(ownValue(read.planParts.rigs, rigId)?.revision ?? 0));
    if (!answer.ok) return refused(read, { ...answer.refusal, status: 0 });
    setNotes((answer.notes ?? []) as PlanNote[]);
    await arrived(read.plan.revision + 1);
    return true;
  };

  return {
    base: read?.plan ?? null,
    problem,
    conflict,
    saving,
    savedRevision,
    notes,
    forget,
    async reload() {
      forget();
      return readNow()?.plan ?? null;
    },
    save: async (change) => (read ? put(read, change) : false),
    async saveOver(change) {
      const fresh = readNow();
      return fresh ? put(fresh, change) : false;
    },
    undo: (rigId) =>
      give(rigId, (ifRevision) => ({ type: "takeBackEdit", rigId, variant: "clear", ifRevision })),
    copyEdits: (fromRigId, toRigId) =>
      give(toRigId, (ifRevision) => ({ type: "copyEdits", fromRigId, toRigId, ifRevision })),
  };
}

/** The refusal says who saved last. */
function conflictOf(from: PlanRead, problem: Problem): PlanConflict {
  const { revision, by } = problem.data ?? {};
  return {
    revision: typeof revision === "number" ? revision : from.plan.revision + 1,
    by: typeof by === "string" ? by : null,
  };
}
