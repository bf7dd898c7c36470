/** A practice run: from any offset to any contact, at 1 to 20 times the pace; ended by a lead. */
import { type FormEvent, useId, useState } from "react";
import { rangeOf } from "../../../shared/fields/number.ts";
import { ANCHORS, type Anchor } from "../../../shared/plan/model/vocabulary.ts";
import { anchorMs, contactsOf } from "../../../shared/run/effective-contacts.ts";
import { PracticeSchema } from "../../../shared/run/orders/practice-programme.ts";
import { currentRun, practiceAt, runTime } from "../../../shared/run/run-time.ts";
import { isWithin } from "../../forms/field-range.ts";
import { useNow } from "../../link/use-session.ts";
import { EmptyNote } from "../../parts/empty-note.tsx";
import { clockText, elapsedText } from "../../parts/time-format.ts";
import { anchorWords } from "../../parts/words-for-anchor.ts";
import { t } from "../../words/words.ts";
import { Button } from "../shell/button.tsx";
import { endText } from "../shell/date-text.ts";
import { useLead } from "../shell/lead-context.ts";
import { go } from "../shell/route.ts";
import { useOrders } from "../shell/use-order.tsx";
import { readOffset } from "./read-offset.ts";
import "./practice-screen.css";

const USUAL: readonly { anchor: Anchor; offset: string }[] = [
  { anchor: "C1", offset: "−5:00" },
  { anchor: "C2", offset: "−10:00" },
  { anchor: "C2", offset: "−3:00" },
  { anchor: "C2", offset: "−0:30" },
  { anchor: "C3", offset: "−0:45" },
];

const { offsetS: OFFSET, rate: RATE } = PracticeSchema.entries;

export function PracticeScreen() {
  const { session, view } = useLead();
  const { give, waiting } = useOrders();
  const now = useNow(session, 500);
  const id = useId();
  const { state } = view;
  const real = state?.runs[state.realRunId];
  const contacts = state && real ? contactsOf(state, { ...real, shifts: {}, calls: [] }) : null;
  const here = contacts ? ANCHORS.filter((anchor) => anchorMs(contacts, anchor) !== null) : [];
  const [anchor, setAnchor] = useState<Anchor>(here.includes("C2") ? "C2" : "max");
  const [offset, setOffset] = useState("−3:00");
  const [rate, setRate] = useState(1);
  if (!state || !contacts) return <EmptyNote text={t("app.loading")} />;
  const practice = practiceAt(state, now);
  if (practice) {
    const run = currentRun(state, now);
    return (
      <div className="practice-screen" data-practice-run={run.runId}>
        <h1>{t("lead.practice.on")}</h1>
        <p>
          {t("lead.practice.running", {
            time: elapsedText(now - practice.startedUtcMs),
            at: clockText(runTime(practice, now)),
            rate: practice.rate,
          })}
        </p>
        <p>{t("lead.practice.ends", { time: endText(practice.endsAtUtcMs, now) })}</p>
        <div className="practice-screen__row">
          <Button
            action="end-practice"
            kind="main"
            onClick={() =>
              void give({ type: "endPractice" }).then((ended) => ended && go("record", run.runId))
            }
          >
            {t("lead.practice.end")}
          </Button>
          <a className="button" href="#array">
            {t("lead.practice.toArray")}
          </a>
        </div>
      </div>
    );
  }
  if (here.length === 0) return <EmptyNote text={t("lead.practice.nothing")} />;
  const offsetS = readOffset(offset);
  const usable = offsetS !== null && isWithin(OFFSET, offsetS);
  const at = anchorMs(contacts, anchor);
  const start = async (event: FormEvent) => {
    event.preventDefault();
    if (!usable) return;
    if (await give({ type: "startPractice", anchor, offsetS, rate })) go("array");
  };
  return (
    <div className="practice-screen">
      <h1>{t("lead.practice.title")}</h1>
      <p>{t("lead.practice.says")}</p>
      <p className="practice-screen__caution">{t("rule.S8")}</p>
      <form className="practice-form" onSubmit={start}>
        <div className="practice-screen__row">
          <div className="labelled">
            <label htmlFor={`${id}-offset`}>{t("lead.practice.offset")}</label>
            <input
              id={`${id}-offset`}
              name="offset"
              className="field field--short"
              dir="ltr"
              value={offset}
              aria-invalid={!usable}
              aria-describedby={`${id}-says`}
              onChange={(event) => setOffset(event.target.value)}
            />
          </div>
          <div className="labelled">
            <label htmlFor={`${id}-anchor`}>{t("lead.practice.contact")}</label>
            <select
              id={`${id}-anchor`}
              name="anchor"
              className="field"
              value={anchor}
              onChange={(event) => setAnchor(event.target.value as Anchor)}
            >
              {here.map((one) => (
                <option key={one} value={one}>
                  {anchorWords(one)}
                </option>
              ))}
            </select>
          </div>
          <div className="labelled">
            <label htmlFor={`${id}-rate`}>{t("lead.practice.rate")}</label>
            <div className="practice-form__rate">
              <input
                id={`${id}-rate`}
                name="rate"
                type="range"
                min={rangeOf(RATE).least}
                max={rangeOf(RATE).most}
                step={1}
                value={rate}
                onChange={(event) => setRate(Number(event.target.value))}
              />
              <output>{t("lead.practice.times", { rate })}</output>
            </div>
          </div>
        </div>
        <p id={`${id}-says`} className={usable ? "says" : "says says--wrong"}>
          {usable && at !== null
            ? t("lead.practice.startsAt", { time: clockText(at + (offsetS ?? 0) * 1000) })
            : t("lead.practice.wrongOffset", { hours: rangeOf(OFFSET).most / 3600 })}
        </p>
        <fieldset className="practice-screen__row practice-screen__usual">
          <legend className="only-read-aloud">{t("lead.practice.usual")}</legend>
          {USUAL.filter((one) => here.includes(one.anchor)).map((one) => (
            <Button
              key={`${one.anchor}${one.offset}`}
              action="usual-start"
              kind="quiet"
              onClick={() => {
                setAnchor(one.anchor);
                setOffset(one.offset);
              }}
            >
              {one.anchor} {one.offset}
            </Button>
          ))}
        </fieldset>
        <Button action="start-practice" kind="main" type="submit" disabled={!usable || waiting !== null}>
          {t("lead.practice.start")}
        </Button>
      </form>
    </div>
  );
}
