/**
 * Where to stand, when to leave: places side by side, each with what it gets and until when one may
 * set out for it. One tap moves the whole plan, and says what that did to every rig; another goes back.
 */
import "../../../../words/bundles/prepare.ts";
import { useState } from "react";
import type { Plan, Site } from "../../../../../shared/plan/model/plan.ts";
import { CANDIDATES_MOST, CandidateSchema } from "../../../../../shared/plan/places/candidate.ts";
import type { RigMoved } from "../../../../../shared/plan/places/what-moved.ts";
import { readWithin } from "../../../../forms/field-range.ts";
import { NumberField } from "../../../../forms/number-field.tsx";
import { AlertLine } from "../../../../parts/alert-line.tsx";
import { clockText } from "../../../../parts/time-format.ts";
import { lengthWords } from "../../../../parts/words-for-length.ts";
import { t } from "../../../../words/words.ts";
import { Button } from "../../../shell/button.tsx";
import { dateAndTimeText } from "../../../shell/date-text.ts";
import { problemText } from "../../../shell/problem-text.ts";
import { rigName } from "../../check/names-in-plan.ts";
import { noteText } from "../../plan-answers.tsx";
import { newId } from "../../rigs/rig-form.ts";
import { boundText, percentText } from "../place-summary.ts";
import { type Moved, type ShownCandidate, useCandidates } from "./use-candidates.ts";
import "./candidates-part.css";

interface CandidatesPartProps {
  plan: Plan;
  /** The place in the form; null while it cannot be read. */
  typed: Site | null;
  /** The plan is somewhere else now: what is typed is of the place before. */
  onMoved: () => void;
}

export function CandidatesPart({ plan, typed, onMoved }: CandidatesPartProps) {
  const places = useCandidates();
  const { kept, problem, moved, busy } = places;
  const list = kept?.candidates ?? [];
  const full = list.length >= CANDIDATES_MOST;
  const add = async (site: Site) => {
    const ids = list.map(({ id }) => id);
    await places.keep({ id: newId(site.name, ids, "place"), site });
  };
  const move = async (id: string | null) => {
    if (await places.moveTo(id)) onMoved();
  };
  const back = kept?.cameFrom ?? null;
  return (
    <section className="candidates" data-part="candidates" data-busy={busy} aria-busy={busy}>
      <h2>{t("sites.title")}</h2>
      <p className="soft">{t("sites.says")}</p>
      {moved && <WhatMoved moved={moved} plan={plan} />}
      {problem && <AlertLine priority="caution" announce title={problemText(problem)} />}
      <div className="candidates__actions">
        <Button
          action="keep-candidate"
          disabled={typed === null || full || busy}
          onClick={() => typed && void add(typed)}
        >
          {t("sites.add", { name: typed?.name ?? "…" })}
        </Button>
        {back && (
          <Button action="move-back" disabled={busy} onClick={() => void move(null)}>
            {t("sites.back", { name: back.name })}
          </Button>
        )}
        {full && <span className="soft">{t("sites.full", { most: CANDIDATES_MOST })}</span>}
      </div>
      {list.length > 0 && (
        <ul className="candidates__list">
          {list.map((one) => (
            <CandidateCard
              key={one.id}
              one={one}
              busy={busy}
              keep={(minutes) => void places.keep({ ...plain(one), ...minutes })}
              takeOff={() => void places.takeOff(one.id)}
              move={() => void move(one.id)}
            />
          ))}
        </ul>
      )}
    </section>
  );
}

/** As it is kept, without what was worked out of it. */
function plain({ id, site, driveMin, setUpMin, marginMin }: ShownCandidate) {
  return { id, site, driveMin, setUpMin, marginMin };
}

const MINUTES = ["driveMin", "setUpMin", "marginMin"] as const;
type Minutes = (typeof MINUTES)[number];

function CandidateCard(props: {
  one: ShownCandidate;
  busy: boolean;
  keep: (minutes: Partial<Pick<ShownCandidate, Minutes>>) => void;
  takeOff: () => void;
  move: () => void;
}) {
  const { one, busy } = props;
  const { site, here } = one;
  return (
    <li className="candidate" data-candidate={one.id} data-here={here}>
      <h3>
        <bdi>{site.name}</bdi>
      </h3>
      <p className="soft figures" dir="ltr">
        {`${site.latDeg.toFixed(4)}°, ${site.lonDeg.toFixed(4)}°`}
      </p>
      <Gets one={one} />
      <div className="candidate__minutes">
        {MINUTES.map((name) => (
          <MinutesField key={name} name={name} value={one[name]} keep={props.keep} />
        ))}
      </div>
      <Departure one={one} />
      <div className="candidate__actions">
        {here ? (
          <strong data-says="here">{t("sites.here")}</strong>
        ) : (
          <Button action="move-plan" kind="main" disabled={busy} onClick={props.move}>
            {t("sites.move")}
          </Button>
        )}
        <Button action="take-off-candidate" kind="quiet" disabled={busy} onClick={props.takeOff}>
          {t("sites.takeOff")}
        </Button>
      </div>
    </li>
  );
}

function Gets({ one: { gets } }: { one: ShownCandidate }) {
  if (!gets) return <p className="soft">{t("sites.noEclipse")}</p>;
  const central = gets.kind === "total" || gets.kind === "annular";
  const length = `${gets.durationS.toFixed(gets.durationS < 60 ? 1 : 0)} s`;
  return (
    <>
      <p className="candidate__kind" data-kind={gets.kind}>
        {gets.kind === "none" || !gets.visible
          ? t("sites.none")
          : central
            ? t(`sites.${gets.kind as "total" | "annular"}`, {
                length: gets.durationS < 60 ? length : lengthWords(gets.durationS),
              })
            : t("sites.partial", { percent: percentText(gets.obscuration) })}
      </p>
      {gets.visible && (
        <dl className="candidate__figures">
          <Figure
            label={t("sites.height")}
            value={gets.altitudeDeg === null ? "—" : `${gets.altitudeDeg.toFixed(1)}°`}
          />
          <Figure label={t("sites.doubt")} value={`± ${boundText(gets.timingBoundS)}`} />
          {central && (
            <Figure label={t("sites.beads")} value={`${beads(gets.beadsC2S)} · ${beads(gets.beadsC3S)}`} />
          )}
        </dl>
      )}
    </>
  );
}

function beads(seconds: number | null): string {
  return seconds === null ? "—" : `${Math.round(seconds)} s`;
}

function Figure({ label, value }: { label: string; value: string }) {
  return (
    <div>
      <dt>{label}</dt>
      <dd className="figures" dir="ltr">
        {value}
      </dd>
    </div>
  );
}

/** Kept when the field is left, or at Enter; an empty drive is one that nobody has said. */
function MinutesField(props: {
  name: Minutes;
  value: number | null;
  keep: (minutes: Partial<Pick<ShownCandidate, Minutes>>) => void;
}) {
  const { name, value, keep } = props;
  const schema = CandidateSchema.entries[name];
  const [typed, setTyped] = useState<string | null>(null);
  const text = typed ?? (value === null ? "" : String(value));
  const empty = text.trim() === "";
  const read = empty ? null : readWithin(schema, text);
  const wrong = read === null && !(empty && name === "driveMin");
  const done = () => {
    if (typed === null || wrong) return;
    setTyped(null);
    if (read !== value) keep({ [name]: read });
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: it only hears what the field within says.
    <div onBlur={done} onKeyDown={(event) => event.key === "Enter" && done()}>
      <NumberField
        name={name}
        label={`sites.${name}`}
        schema={schema}
        value={text}
        problem={wrong ? { key: "sites.wrongMinutes" } : undefined}
        change={setTyped}
      />
    </div>
  );
}

function Departure({ one: { gets, driveMin } }: { one: ShownCandidate }) {
  const departure = gets?.departure;
  if (!departure)
    return gets?.visible && driveMin === null ? <p className="soft">{t("sites.sayDrive")}</p> : null;
  const { utcMs, zone, anchor } = departure;
  return (
    <p className="candidate__leave" data-leave={utcMs}>
      <span>{t("sites.leave", { anchor: anchor === "max" ? t("sites.maximum") : anchor })}</span>
      <strong className="figures">{dateAndTimeText(utcMs, zone)}</strong>
      <span className="figures">{`${clockText(utcMs)} ${t("time.utc")}`}</span>
    </p>
  );
}

function WhatMoved({ moved, plan }: { moved: Moved; plan: Plan }) {
  return (
    <div className="candidates__moved" role="status" data-moved={moved.site.name}>
      <h3>{t("sites.moved", { name: moved.site.name })}</h3>
      <ul>
        {moved.rigs.map((rig) => (
          <li key={rig.rigId} data-moved-rig={rig.rigId}>
            <strong>{rigName(plan, rig.rigId)}</strong>: {movedText(rig)}
            {rig.notes.length > 0 && (
              <ul>
                {rig.notes.map((note) => (
                  <li key={`${note.code} ${note.cueId ?? ""} ${note.field ?? ""}`}>{noteText(note, plan)}</li>
                ))}
              </ul>
            )}
          </li>
        ))}
      </ul>
    </div>
  );
}

function movedText({ added, gone, changed, opened, opens }: RigMoved): string {
  const says: string[] = [];
  if (opened !== opens) says.push(t(opens ? "sites.filterOffNow" : "sites.filterStaysNow"));
  if (added.length > 0) says.push(t("sites.cuesAdded", { count: added.length }));
  if (gone.length > 0) says.push(t("sites.cuesGone", { count: gone.length }));
  if (changed.length > 0) says.push(t("sites.cuesChanged", { count: changed.length }));
  return says.length === 0 ? t("sites.sameCues") : says.join(" ");
}
