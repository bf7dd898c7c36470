/** A practice programme before its start: segment, pace, people, faults, repeats. */
import { type FormEvent, useId, useState } from "react";
import { rangeOf } from "../../../shared/fields/number.ts";
import type { Anchor } from "../../../shared/plan/model/vocabulary.ts";
import { anchorMs, type EffectiveContacts } from "../../../shared/run/effective-contacts.ts";
import { realSunUp } from "../../../shared/run/facts/touch-only.ts";
import {
  FaultSchema,
  PracticeSchema,
  ProgrammeSchema,
} from "../../../shared/run/orders/practice-programme.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { isWithin } from "../../forms/field-range.ts";
import { clockText } from "../../parts/time-format.ts";
import { lengthWords } from "../../parts/words-for-length.ts";
import { t } from "../../words/words.ts";
import { Button } from "../shell/button.tsx";
import { faultTold, faultToldOver } from "../shell/fault-words.ts";
import { useLead } from "../shell/lead-context.ts";
import { go } from "../shell/route.ts";
import { useOrders } from "../shell/use-order.tsx";
import { CountField } from "./count-field.tsx";
import { type FaultDraft, FaultsField } from "./faults-field.tsx";
import { type Moment, MomentField } from "./moment-field.tsx";
import { type People, PeopleField } from "./people-field.tsx";
import { readOffset } from "./read-offset.ts";

const USUAL: readonly Moment[] = [
  { anchor: "C1", offset: "−5:00" },
  { anchor: "C2", offset: "−10:00" },
  { anchor: "C2", offset: "−3:00" },
  { anchor: "C2", offset: "−0:30" },
  { anchor: "C3", offset: "−0:45" },
];

const { offsetS: OFFSET, rate: RATE } = PracticeSchema.entries;
const { forS: LASTS } = FaultSchema.entries;
const { repeats: REPEATS, pauseS: PAUSE } = ProgrammeSchema.entries;

interface ProgrammeFormProps {
  state: SiteState;
  contacts: EffectiveContacts;
  /** Contacts that happen here. */
  anchors: readonly Anchor[];
  now: UtcMs;
}

export function ProgrammeForm({ state, contacts, anchors, now }: ProgrammeFormProps) {
  const { view } = useLead();
  const { give, waiting } = useOrders();
  const id = useId();
  const { rigs } = state.plan;
  const linked = new Set(
    Object.entries(view.presence.rigs).flatMap(([rigId, devices]) => (devices.length > 0 ? [rigId] : [])),
  );
  const central = anchors.includes("C3");
  const [start, setStart] = useState<Moment>({ anchor: central ? "C2" : "max", offset: "−3:00" });
  const [end, setEnd] = useState<Moment>({
    anchor: central ? "C3" : "max",
    offset: central ? "1:00" : "3:00",
  });
  const [rate, setRate] = useState(1);
  const [repeats, setRepeats] = useState(1);
  const [pauseS, setPauseS] = useState(60);
  const [people, setPeople] = useState<People>(() => ({
    played: new Set(rigs.filter((rig) => !linked.has(rig.id)).map((rig) => rig.id)),
    safe: new Set(),
  }));
  const [faults, setFaults] = useState<readonly FaultDraft[]>([]);

  const startMs = momentMs(contacts, start);
  const endMs = momentMs(contacts, end);
  const runs = startMs !== null && endMs !== null && endMs > startMs;
  const usable =
    runs &&
    isWithin(REPEATS, repeats) &&
    isWithin(PAUSE, pauseS) &&
    faults.every(({ at, forS }) => momentMs(contacts, at) !== null && isWithin(LASTS, forS));

  const begin = async (event: FormEvent) => {
    event.preventDefault();
    if (!usable) return;
    const taken = await give({
      type: "startPractice",
      ...inSeconds(start),
      rate,
      programme: {
        until: inSeconds(end),
        played: known([...people.played], state),
        safe: known([...people.safe], state),
        faults: faults.map(({ kind, at, forS, rigId }) => ({
          kind,
          ...inSeconds(at),
          forS,
          rigIds: rigId === "" ? null : [rigId],
          words: faultTold(kind),
          wordsOver: faultToldOver(kind),
        })),
        repeats,
        pauseS,
        part: 1,
        id: null,
      },
    });
    if (taken) go("array");
  };
  return (
    <form className="practice-form practice-form--wide" onSubmit={begin}>
      <div className="practice-form">
        <div className="practice-screen__row">
          <MomentField
            name="offset"
            anchorName="anchor"
            label={t("lead.practice.offset")}
            anchors={anchors}
            value={start}
            wrong={startMs === null}
            describedBy={`${id}-says`}
            onChange={setStart}
          />
          <MomentField
            name="until"
            anchorName="until-anchor"
            label={t("practise.until")}
            anchors={anchors}
            value={end}
            wrong={endMs === null || (startMs !== null && !runs)}
            describedBy={`${id}-says`}
            onChange={setEnd}
          />
        </div>
        <p id={`${id}-says`} className={runs ? "says" : "says says--wrong"}>
          {startMs === null || endMs === null
            ? t("lead.practice.wrongOffset", { hours: rangeOf(OFFSET).most / 3600 })
            : !runs
              ? t("practise.wrongEnd")
              : `${t("lead.practice.startsAt", { time: clockText(startMs) })} ${t("practise.segmentLasts", {
                  time: lengthWords(Math.round((endMs - startMs) / 1000 / rate)),
                })}`}
        </p>
        <fieldset className="practice-screen__row practice-screen__usual">
          <legend className="only-read-aloud">{t("lead.practice.usual")}</legend>
          {USUAL.filter((one) => anchors.includes(one.anchor)).map((one) => (
            <Button
              key={`${one.anchor}${one.offset}`}
              action="usual-start"
              kind="quiet"
              onClick={() => setStart(one)}
            >
              {one.anchor} {one.offset}
            </Button>
          ))}
        </fieldset>
        <div className="practice-screen__row">
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
          <CountField
            name="repeats"
            label={t("practise.repeats")}
            schema={REPEATS}
            value={repeats}
            onChange={setRepeats}
          />
          <CountField
            name="pause"
            label={t("practise.pauseS")}
            schema={PAUSE}
            value={pauseS}
            onChange={setPauseS}
          />
        </div>
      </div>
      <div className="practice-form">
        <PeopleField
          rigs={rigs}
          linked={linked}
          sunUp={realSunUp(state, now)}
          value={people}
          onChange={setPeople}
        />
        <FaultsField anchors={anchors} rigs={rigs} value={faults} onChange={setFaults} />
      </div>
      <Button action="start-practice" kind="main" type="submit" disabled={!usable || waiting !== null}>
        {t("lead.practice.start")}
      </Button>
    </form>
  );
}

/** As an order says it, once it is known that it can be read. */
function inSeconds({ anchor, offset }: Moment) {
  return { anchor, offsetS: readOffset(offset) ?? 0 };
}

/** Run time ms; null where it cannot be read or does not happen here. */
function momentMs(contacts: EffectiveContacts, { anchor, offset }: Moment): number | null {
  const offsetS = readOffset(offset);
  const at = anchorMs(contacts, anchor);
  return at === null || offsetS === null || !isWithin(OFFSET, offsetS) ? null : at + offsetS * 1000;
}

/** Rigs that were ticked and taken out of the plan since. */
function known(rigIds: readonly string[], { plan }: SiteState): string[] {
  return rigIds.filter((rigId) => plan.rigs.some(({ id }) => id === rigId));
}
