/**
 * Without photographs of the clock: an offset that somebody found in a way of their own, or a frame of
 * an instant that is known, its stamp against what was called by eye or predicted.
 */
import { type FormEvent, useId, useState } from "react";
import type { CameraBasis } from "../../../../shared/fields/camera-clock.ts";
import { localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import type { CallName } from "../../../../shared/run/vocabulary.ts";
import { isoUtc, parseIsoUtc } from "../../../../shared/time/iso.ts";
import { readNumber } from "../../../forms/read-number.ts";
import { clockText } from "../../../parts/time-format.ts";
import { t, type WordKey } from "../../../words/words.ts";
import { type ChosenFrame, FrameField } from "./frame-field.tsx";
import { ZoneField, zoneNear } from "./zone-field.tsx";

interface FormProps {
  state: SiteState;
  keep: (zoneMin: number, basis: CameraBasis) => Promise<boolean>;
}

export function HandForm({ state, keep, nowUtcMs }: FormProps & { nowUtcMs: number }) {
  const [offset, setOffset] = useState("");
  const [bound, setBound] = useState("");
  const [zoneMin, setZone] = useState(0);
  const { c2, max } = localEclipse(state.circumstances).contacts;
  const offsetS = readNumber(offset);
  const boundS = readNumber(bound);
  const usable = offsetS !== null && boundS !== null && boundS >= 0;
  async function submit(event: FormEvent) {
    event.preventDefault();
    if (offsetS === null || boundS === null) return;
    if (await keep(zoneMin, { how: "hand", offsetS, boundS, utcMs: c2 ?? max ?? nowUtcMs })) {
      setOffset("");
      setBound("");
    }
  }
  return (
    <form className="camera-form" data-form="hand" onSubmit={(event) => void submit(event)}>
      <p className="soft">{t("cameras.handSays")}</p>
      <Typed
        name="offset"
        label={t("cameras.offset")}
        value={offset}
        change={setOffset}
        wrong={offset !== "" && offsetS === null}
      />
      <Typed
        name="bound"
        label={t("cameras.bound")}
        value={bound}
        change={setBound}
        wrong={bound !== "" && (boundS === null || boundS < 0)}
      />
      <ZoneField value={zoneMin} change={setZone} />
      <button type="submit" className="button button--main" data-action="keep-hand" disabled={!usable}>
        {t("cameras.keep")}
      </button>
    </form>
  );
}

const CALL_WORDS = {
  totality: "lead.call.totality",
  "sun returns": "lead.call.sunReturns",
  "stay filtered": "lead.call.stayFiltered",
} as const satisfies Record<CallName, WordKey>;

/** What a frame may be of: calls by eye first, then what was predicted. */
function instantsOf(state: SiteState): { key: string; says: string; utcMs: number; boundS: number }[] {
  const { c2, c3 } = localEclipse(state.circumstances).contacts;
  const calls = (state.runs[state.realRunId]?.calls ?? []).filter(({ takenBack }) => !takenBack);
  const predictedS = state.circumstances?.timingBoundS ?? 5;
  return [
    ...calls.map(({ callId, call, atRunMs }) => ({
      key: callId,
      says: t("cameras.called", { call: t(CALL_WORDS[call]), time: clockText(atRunMs) }),
      utcMs: atRunMs as number,
      boundS: 1,
    })),
    ...(c2 === null ? [] : [predicted("C2", c2, predictedS)]),
    ...(c3 === null ? [] : [predicted("C3", c3, predictedS)]),
  ];
}

function predicted(name: string, utcMs: number, boundS: number) {
  const says = t("cameras.predicted", { contact: name, time: clockText(utcMs) });
  return { key: name, says, utcMs, boundS: Math.ceil(boundS * 10) / 10 };
}

export function FrameForm({ state, keep }: FormProps) {
  const id = useId();
  const instants = instantsOf(state);
  const [chosen, setChosen] = useState<ChosenFrame>(null);
  const [key, setKey] = useState(instants[0]?.key ?? "typed");
  const [typed, setTyped] = useState("");
  const [bound, setBound] = useState(() => String(instants[0]?.boundS ?? 1));
  const [zoneMin, setZone] = useState<number | null>(null);
  const instant = instants.find((one) => one.key === key);
  const utcMs = instant?.utcMs ?? parseIsoUtc(typed.trim().replace(" ", "T")) ?? null;
  const boundS = readNumber(bound);
  const file = chosen === "wrong" ? null : chosen;
  const zone = zoneMin ?? zoneNear(file && utcMs !== null ? file.localMs - utcMs : 0);

  async function submit(event: FormEvent) {
    event.preventDefault();
    if (!file || utcMs === null || boundS === null) return;
    const seen = {
      of: "frame" as const,
      name: file.name,
      stampMs: file.localMs,
      stepMs: file.stepMs,
      utcMs,
      holdMs: 0,
      boundMs: boundS * 1000,
    };
    if (await keep(zone, { how: "sightings", sightings: [seen] })) setChosen(null);
  }
  return (
    <form className="camera-form" data-form="frame" onSubmit={(event) => void submit(event)}>
      <p className="soft">{t("cameras.frameSays")}</p>
      <FrameField name="frame" label={t("cameras.frame")} frame={chosen} take={setChosen}>
        {file && (
          <p className="soft" data-stamp={file.localMs}>
            {t("cameras.stamped", { time: isoUtc(file.localMs).slice(0, 23).replace("T", " ") })}
          </p>
        )}
      </FrameField>
      <div className="labelled">
        <label htmlFor={`${id}-instant`}>{t("cameras.instant")}</label>
        <select
          id={`${id}-instant`}
          name="instant"
          className="field"
          value={key}
          onChange={(event) => {
            setKey(event.target.value);
            setBound(String(instants.find((one) => one.key === event.target.value)?.boundS ?? 1));
          }}
        >
          {instants.map((one) => (
            <option key={one.key} value={one.key}>
              {one.says}
            </option>
          ))}
          <option value="typed">{t("cameras.otherInstant")}</option>
        </select>
      </div>
      {!instant && (
        <Typed
          name="instant-utc"
          label={t("cameras.instantUtc")}
          value={typed}
          change={setTyped}
          wrong={typed !== "" && utcMs === null}
        />
      )}
      <Typed
        name="bound"
        label={t("cameras.bound")}
        value={bound}
        change={setBound}
        wrong={boundS === null || boundS < 0}
      />
      <ZoneField value={zone} change={setZone} />
      <button
        type="submit"
        className="button button--main"
        data-action="keep-frame"
        disabled={!file || utcMs === null || boundS === null || boundS < 0 || boundS > 600}
      >
        {t("cameras.keep")}
      </button>
    </form>
  );
}

function Typed(props: {
  name: string;
  label: string;
  value: string;
  wrong: boolean;
  change: (text: string) => void;
}) {
  const id = useId();
  return (
    <div className="labelled">
      <label htmlFor={id}>{props.label}</label>
      <input
        id={id}
        name={props.name}
        className="field"
        dir="ltr"
        inputMode="decimal"
        autoComplete="off"
        value={props.value}
        aria-invalid={props.wrong}
        onChange={(event) => props.change(event.target.value)}
      />
    </div>
  );
}
