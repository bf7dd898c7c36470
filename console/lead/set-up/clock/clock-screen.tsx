/** Where the site's time comes from, how good it is, and who says otherwise. */
import { useRef } from "react";
import { DOUBT_BOUND_MS } from "../../../../shared/run/doubt.ts";
import { AlertLine } from "../../../parts/alert-line.tsx";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { late } from "../../../parts/late.tsx";
import { boundText, clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { problemText } from "../../shell/problem-text.ts";
import { shortLength } from "../../shell/short-length.ts";
import { useAsked } from "../../shell/use-asked.ts";
import type { ClockStatus } from "./clock-status.ts";
import { deviceNames } from "./device-name.ts";
import { MarkForm } from "./mark-form.tsx";
import { signedMs } from "./signed-ms.ts";
import { SourceList } from "./source-list.tsx";
import { WitnessList } from "./witness-list.tsx";
import "./clock-screen.css";

const DeviceChart = late(async () => (await import("./device-chart.tsx")).DeviceChart);
const EVERY_MS = 2000;

export function ClockScreen() {
  const { api, view } = useLead();
  const markFirst = useRef<boolean | null>(null);
  const { value: status, problem, take } = useAsked<ClockStatus>("/api/clock", EVERY_MS);
  const post = async (path: string, body: unknown) => take(await api.send<ClockStatus>("POST", path, body));

  if (!status) return <EmptyNote text={problem ? problemText(problem) : t("app.loading")} />;
  const { step, slept, witnesses, sleep } = status;
  const nameOf = deviceNames(view.state, [...witnesses.devices, ...status.samples]);
  // The same number as in the header above: one fact, one number.
  const { hubBoundMs } = view.clockHealth;
  const boundMs = Number.isFinite(hubBoundMs) ? hubBoundMs : status.boundMs;
  const poor = boundMs > DOUBT_BOUND_MS;
  // Where the clock was not known at first its mending comes first, and stays there while it is used.
  markFirst.current ??= poor;
  const byHand = (
    <section>
      <h2>{t("lead.clock.byHand")}</h2>
      <MarkForm
        mark={(utcMs) => post("/api/clock/marks", { utcMs })}
        forget={
          status.sources.some(({ kind }) => kind === "hand")
            ? async () => take(await api.send<ClockStatus>("DELETE", "/api/clock/marks"))
            : null
        }
      />
    </section>
  );
  return (
    <div className="clock-screen" data-clock-source={status.source}>
      <header className="clock-screen__head">
        <h1>{t("lead.clock.title")}</h1>
        <p className="clock-screen__sum" data-sum={true}>
          {t(witnesses.narrow ? "lead.clock.sumNarrowed" : "lead.clock.sum", {
            source: t(`lead.source.${status.source}`),
            bound: boundText(boundMs),
          })}
        </p>
        <a className="button" href="/clock" target="_blank" rel="noopener" data-action="big-clock">
          {t("lead.clock.big")}
        </a>
      </header>
      {problem && <AlertLine priority="caution" title={problemText(problem)} />}
      {step && (
        <AlertLine
          priority="caution"
          announce
          title={t("lead.clock.step", { by: signedMs(step.byMs), time: clockText(step.seenAtUtcMs) })}
          detail={t("lead.clock.stepSays")}
        >
          <div className="clock-screen__two" data-step={step.byMs}>
            <Button action="step-adopt" onClick={() => void post("/api/clock/step", { answer: "adopt" })}>
              {t("lead.clock.adopt")}
            </Button>
            <Button action="step-refuse" onClick={() => void post("/api/clock/step", { answer: "refuse" })}>
              {t("lead.clock.refuse")}
            </Button>
          </div>
        </AlertLine>
      )}
      {slept && (
        <AlertLine
          priority="danger"
          announce
          title={t("lead.clock.slept", {
            length: shortLength(slept.forMs),
            time: clockText(slept.seenAtUtcMs),
          })}
          detail={t("lead.clock.sleptSays", { bound: boundText(slept.boundMs) })}
        >
          <Button action="slept-compared" onClick={() => void post("/api/clock/slept", {})}>
            {t("lead.clock.sleptDone")}
          </Button>
        </AlertLine>
      )}
      {poor && (
        <AlertLine
          priority="caution"
          title={t("lead.clock.poor", { bound: boundText(boundMs) })}
          detail={`${t("lead.clock.inDoubt")} ${t("lead.clock.poorSays")}`}
        />
      )}
      <WitnessList
        witnesses={witnesses}
        nameOf={nameOf}
        doubtSaid={poor}
        setAside={(deviceId, yes) => void post("/api/clock/witnesses", { deviceId, setAside: yes })}
      />
      {markFirst.current && byHand}
      <section className="clock-screen__sources">
        <h2>{t("lead.clock.sources")}</h2>
        <SourceList sources={status.sources} boundMs={boundMs} />
        {status.dispute && (
          <p className="clock-screen__warn">
            {t("lead.clock.sourcesApart", { by: signedMs(status.dispute.byMs).slice(1) })}
          </p>
        )}
        {Math.abs(status.correctionMs) >= 1 && (
          <p>
            {t("lead.clock.correcting", { by: signedMs(status.correctionMs) })}{" "}
            <Button action="set-now" kind="quiet" onClick={() => void post("/api/clock/set-now", {})}>
              {t("lead.clock.setNow")}
            </Button>
          </p>
        )}
        {sleep && (
          <p className={sleep.state === "held" ? "soft" : "clock-screen__warn"}>
            {t(sleep.state === "held" ? "lead.clock.awake" : "lead.clock.mayDoze")}
          </p>
        )}
        <Technical status={status} />
      </section>
      {!markFirst.current && byHand}
      <section className="clock-screen__devices">
        <h2>{t("lead.clock.devices")}</h2>
        {status.samples.length === 0 ? (
          <p className="soft">{t("lead.clock.noDevices")}</p>
        ) : (
          <DeviceChart
            instead={<EmptyNote text={t("app.loading")} />}
            samples={status.samples}
            nameOf={nameOf}
          />
        )}
      </section>
    </div>
  );
}

/** What the hub says technically, in English, for whoever is called to help. */
function Technical(props: { status: ClockStatus }) {
  const { sources, sleep } = props.status;
  const lines = [
    ...sources.map((one) => ({ id: one.id, text: one.detail })),
    { id: "sleep", text: sleep?.detail ?? "" },
  ].filter((line) => line.text.trim() !== "");
  if (lines.length === 0) return null;
  return (
    <details className="clock-screen__more clock-screen__technical">
      <summary>{t("lead.clock.technical")}</summary>
      <ul lang="en" dir="ltr">
        {lines.map((line) => (
          <li key={line.id}>
            {line.id}: {line.text}
          </li>
        ))}
      </ul>
    </details>
  );
}
