/** A practice that is on, or in the pause before its next part: how far it is, who is played, faults. */
import { useState } from "react";
import type { Programme } from "../../../shared/run/orders/practice-programme.ts";
import { practiceAt, runTime } from "../../../shared/run/run-time.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import { FAULTS, type FaultKind } from "../../../shared/run/vocabulary.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { clockText, elapsedText } from "../../parts/time-format.ts";
import { t } from "../../words/words.ts";
import { Button } from "../shell/button.tsx";
import { endText } from "../shell/date-text.ts";
import { faultName, faultTold, faultToldOver, struckText } from "../shell/fault-words.ts";
import { ProblemLine } from "../shell/problem-line.tsx";
import { go } from "../shell/route.ts";
import { useAsked } from "../shell/use-asked.ts";
import { useSend } from "../shell/use-send.ts";
import { FAULT_LASTS_S, LastsField, StruckSelect } from "./faults-field.tsx";

/** GET /api/practice. */
export interface PracticeStatus {
  runId: string | null;
  programme: Programme | null;
  nextAtUtcMs: number | null;
  next: { part: number; repeats: number } | null;
  lastRunId: string | null;
  played: string[];
  faults: { kind: FaultKind; rigIds: string[] | null; atUtcMs: number; untilUtcMs: number; on: boolean }[];
}

const ASK_MS = 1000;

/** Asked as long as a page shows it; null until it is known. */
export function usePracticeStatus(): { status: PracticeStatus | null; ask: () => Promise<void> } {
  const { value: status, ask } = useAsked<PracticeStatus>("/api/practice", ASK_MS);
  return { status, ask };
}

interface RunningProps {
  state: SiteState;
  now: UtcMs;
  status: PracticeStatus | null;
  ask: () => Promise<void>;
}

export function ProgrammeRunning({ state, now, status, ask }: RunningProps) {
  const { send, problem } = useSend();
  const [rigId, setRigId] = useState("");
  const [forS, setForS] = useState(FAULT_LASTS_S);
  const practice = practiceAt(state, now);
  if (!practice) return null;
  const { programme } = practice;
  const { rigs } = state.plan;

  const end = async () => {
    const answer = await send("DELETE", "/api/practice");
    if (answer.ok) go("record", practice.runId);
  };
  const strike = async (kind: FaultKind) => {
    const body = {
      kind,
      forS,
      rigIds: rigId === "" ? null : [rigId],
      words: faultTold(kind),
      wordsOver: faultToldOver(kind),
    };
    await send("POST", "/api/practice/faults", body);
    await ask();
  };
  const endFault = async (kind: FaultKind) => {
    await send("POST", "/api/practice/faults/over", { kind });
    await ask();
  };
  return (
    <div className="practice-screen" data-practice-run={practice.runId}>
      <h1>
        {t("lead.practice.on")}
        {programme && programme.repeats > 1
          ? ` · ${t("practise.part", { part: programme.part, all: programme.repeats })}`
          : ""}
      </h1>
      <p>
        {t("lead.practice.running", {
          time: elapsedText(now - practice.startedUtcMs),
          at: clockText(runTime(practice, now)),
          rate: practice.rate,
        })}
      </p>
      <p>{t("lead.practice.ends", { time: endText(practice.endsAtUtcMs, now) })}</p>
      {status && status.played.length > 0 && (
        <p>{t("practise.played", { rigs: struckText(status.played, rigs) })}</p>
      )}
      <div className="practice-screen__row">
        <Button action="end-practice" kind="main" onClick={() => void end()}>
          {t("lead.practice.end")}
        </Button>
        <a className="button" href="#array">
          {t("lead.practice.toArray")}
        </a>
      </div>
      <ProblemLine problem={problem} />
      <section className="practice-faults">
        <h2>{t("practise.faults")}</h2>
        <div className="practice-screen__row">
          <StruckSelect rigs={rigs} rigId={rigId} onChange={setRigId} />
          <LastsField value={forS} onChange={setForS} />
          {FAULTS.map((kind) => (
            <Button key={kind} action={`fault-${kind.replace(" ", "-")}`} onClick={() => void strike(kind)}>
              {faultName(kind)}
            </Button>
          ))}
        </div>
        <p className="soft">{t("practise.faultsSay")}</p>
        <ul>
          {(status?.faults ?? []).map((fault) => (
            <li key={`${fault.kind}${fault.atUtcMs}`} data-fault={fault.kind} data-on={fault.on}>
              {t(fault.on ? "practise.faultOn" : "practise.faultOver", {
                what: faultName(fault.kind),
                who: struckText(fault.rigIds, rigs),
                time: elapsedText(Math.max(0, fault.untilUtcMs - now)),
              })}{" "}
              {fault.on && (
                <Button action="end-fault" kind="quiet" onClick={() => void endFault(fault.kind)}>
                  {t("practise.endFault")}
                </Button>
              )}
            </li>
          ))}
        </ul>
      </section>
    </div>
  );
}

/** Between two parts: how long still, and the way out. */
export function ProgrammePause({
  status,
  now,
  ask,
}: {
  status: PracticeStatus;
  now: UtcMs;
  ask: () => Promise<void>;
}) {
  const { send, problem } = useSend();
  const say = async (method: "POST" | "DELETE", path: string) => {
    await send(method, path);
    await ask();
  };
  return (
    <div className="practice-screen" data-practice-pause={true}>
      <h1>{t("practise.paused")}</h1>
      <p>
        {t("practise.afterPause", {
          part: status.next?.part ?? 0,
          all: status.next?.repeats ?? 0,
          time: elapsedText(Math.max(0, (status.nextAtUtcMs ?? now) - now)),
        })}
      </p>
      <div className="practice-screen__row">
        <Button action="begin-next" kind="main" onClick={() => void say("POST", "/api/practice/next")}>
          {t("practise.beginNow")}
        </Button>
        <Button action="end-practice" onClick={() => void say("DELETE", "/api/practice")}>
          {t("practise.stop")}
        </Button>
        {status.lastRunId && (
          <a className="button button--quiet" href={`#record/${status.lastRunId}`}>
            {t("practise.lastRun")}
          </a>
        )}
      </div>
      <ProblemLine problem={problem} />
    </div>
  );
}
