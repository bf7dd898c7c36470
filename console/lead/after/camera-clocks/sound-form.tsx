/**
 * A video's clock from its sound: the count-in's pips of the rig's phone, found in what the camera heard.
 * The browser's own decoder opens the sound; nothing leaves it.
 */
import { type ChangeEvent, useId, useState } from "react";
import type { CameraBasis } from "../../../../shared/fields/camera-clock.ts";
import {
  matchPips,
  type Pip,
  type PipMatch,
  pipLoudness,
} from "../../../../shared/images/camera-clock/pips.ts";
import { zoneAndRest } from "../../../../shared/images/camera-clock/solve.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { zoneOffsetMin } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { stampOf } from "../file-source.ts";
import { ClockResult } from "./clock-result.tsx";
import { pipsOf } from "./rig-pips.ts";
import { useCountIns } from "./use-count-ins.ts";
import { ZoneField, zoneNear } from "./zone-field.tsx";

/** Pips are of 1 kHz: this is enough, and an hour of it fits a laptop's memory. */
const SAMPLE_RATE_HZ = 8000;
/** Decoded in one go: larger videos are to be cut, or their sound taken out. */
const MOST_BYTES = 1.5e9;
/** The start is known to a quarter-hour or two: zones go by quarters, and it is before the first pip. */
const REACH_MS = 23 * 60_000;

interface Found {
  name: string;
  stampMs: number;
  stepMs: number;
  /** The stamp says its own zone: minutes ahead of UTC. */
  offsetMin: number | null;
  match: PipMatch;
}

export function SoundForm(props: {
  rig: Rig;
  camera: string;
  state: SiteState;
  keep: (zoneMin: number, basis: CameraBasis) => Promise<boolean>;
}) {
  const id = useId();
  const { rig, camera, state, keep } = props;
  const { api, view } = useLead();
  const [busy, setBusy] = useState(false);
  const [wrong, setWrong] = useState<"no time" | "not opened" | "too large" | "no pips" | null>(null);
  const [found, setFound] = useState<Found | null>(null);
  const [chosenZone, setZone] = useState<number | null>(null);
  const { countIns, problem } = useCountIns(api, rig.id, state.realRunId);
  const { pips, told, boundMs } = pipsOf(rig, state, countIns ?? []);
  const siteZone =
    zoneOffsetMin(state.circumstances?.contacts.max?.utcMs ?? 0, state.plan.site?.zone ?? "") ?? 0;

  async function choose(file: File | undefined) {
    setFound(null);
    setWrong(null);
    if (!file) return;
    setBusy(true);
    const { hubBoundMs } = view.clockHealth;
    const bound = boundMs + (Number.isFinite(hubBoundMs) ? hubBoundMs : 1000);
    const answer = await listen(file, pips, bound);
    setBusy(false);
    if (typeof answer === "string") setWrong(answer);
    else setFound(answer);
  }
  const sighting = found && {
    of: "sound" as const,
    name: found.name,
    stepMs: found.stepMs,
    utcMs: found.match.utcMs,
    holdMs: found.match.holdMs,
    boundMs: found.match.boundMs,
  };
  const ofStampMin = zoneNear(found ? found.stampMs - found.match.utcMs : 0);
  // Videos are stamped in UTC by the standard, pictures in civil time: the clock is that of the pictures.
  const inUtc = ofStampMin === 0 && found?.offsetMin === 0;
  const zoneMin = chosenZone ?? (inUtc ? siteZone : ofStampMin);
  const stampMs = (found?.stampMs ?? 0) + (inUtc ? zoneMin * 60_000 : 0);
  const basis: CameraBasis | null = sighting && {
    how: "sightings",
    sightings: [{ ...sighting, stampMs }],
  };
  return (
    <div className="camera-form" data-form="sound">
      <ProblemLine problem={problem} />
      <p className="soft" data-count-ins={countIns === null ? "" : told ? "told" : "due"}>
        {t("cameras.soundSays", { count: pips.length })}{" "}
        {countIns !== null && pips.length > 0 && t(told ? "cameras.soundTold" : "cameras.soundDue")}
      </p>
      <div className="labelled">
        <label htmlFor={id}>{t("cameras.soundFile")}</label>
        <input
          id={id}
          name="video"
          type="file"
          className="field"
          disabled={busy || countIns === null || pips.length === 0}
          onChange={(event: ChangeEvent<HTMLInputElement>) => void choose(event.target.files?.[0])}
        />
      </div>
      {busy && <p role="status">{t("cameras.soundBusy")}</p>}
      {wrong && (
        <p className="says says--wrong" role="alert" data-why={wrong}>
          {t(wrong === "no time" ? "cameras.why.no time" : `cameras.soundWhy.${wrong}`)}
        </p>
      )}
      {found && basis && (
        <>
          <p data-pips={found.match.pips}>
            {t("cameras.soundFound", {
              count: found.match.pips,
              peak: found.match.peak.toFixed(2),
              next: found.match.next.toFixed(2),
            })}
          </p>
          <PeakPicture curve={found.match.curve} />
          <ZoneField value={zoneMin} change={setZone} />
          <ClockResult camera={camera} basis={basis} zoneMin={zoneMin} state={state} />
          <Button
            action="keep-sound"
            kind="main"
            onClick={() => void keep(zoneMin, basis).then((kept) => kept && setFound(null))}
          >
            {t("cameras.keep")}
          </Button>
        </>
      )}
    </div>
  );
}

async function listen(
  file: File,
  pips: readonly Pip[],
  clockBoundMs: number,
): Promise<Found | "no time" | "not opened" | "too large" | "no pips"> {
  const stamp = await stampOf(file);
  if (!stamp) return "no time";
  if (file.size > MOST_BYTES) return "too large";
  let samples: Float32Array;
  try {
    const context = new OfflineAudioContext(1, 1, SAMPLE_RATE_HZ);
    samples = (await context.decodeAudioData(await file.arrayBuffer())).getChannelData(0);
  } catch {
    return "not opened";
  }
  const first = pips[0]?.atUtcMs ?? 0;
  // Its zone is not known yet: to the quarter-hour the stamp lies where the pips are.
  const startMs = first + zoneAndRest(stamp.localMs - first).restMs;
  const match = matchPips(pipLoudness(samples, SAMPLE_RATE_HZ), pips, startMs, REACH_MS, clockBoundMs);
  if (!match) return "no pips";
  return { name: file.name, stampMs: stamp.localMs, stepMs: stamp.stepMs, offsetMin: stamp.offsetMin, match };
}

/** How well the pips fit about the best place. */
function PeakPicture({ curve }: { curve: PipMatch["curve"] }) {
  const most = Math.max(0.01, ...curve.map(({ value }) => value));
  const points = curve.map(({ ms, value }) => `${ms + 400},${60 - (54 * Math.max(0, value)) / most}`);
  return (
    <svg className="clock-picture" viewBox="0 0 800 84" role="img" aria-label={t("cameras.soundPeak")}>
      <path d="M0 60H800" className="clock-picture__rule" />
      <polyline points={points.join(" ")} strokeWidth="2" />
      <text x="0" y="80">
        −0.4 s
      </text>
      <text x="400" y="80" textAnchor="middle">
        0
      </text>
      <text x="800" y="80" textAnchor="end">
        +0.4 s
      </text>
    </svg>
  );
}
