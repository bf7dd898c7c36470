/** One row per rig, columns aligned; rows come in the order they are to stand. */
import type { CSSProperties } from "react";
import { setUpChecksFor } from "../../../../shared/plan/defaults/set-up-checks.ts";
import { runTime } from "../../../../shared/run/run-time.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import { boundText, clockText, countdownText } from "../../../parts/time-format.ts";
import { putWords } from "../../../parts/words-for-cue.ts";
import { factText } from "../../../parts/words-for-fact.ts";
import { t } from "../../../words/words.ts";
import { takerOf } from "../../shell/alerts/answers-given.tsx";
import { go } from "../../shell/route.ts";
import { useMedia } from "../../shell/use-media.ts";
import type { RunNow } from "../../shell/use-run.ts";
import { cueStateWords } from "./cue-state-words.ts";
import { foldRows, ROOM_OF_ALERTS } from "./fold-rows.ts";
import type { Trouble } from "./rig-trouble.ts";
import { rowData, Tiles } from "./tiles.tsx";

export interface ArrayRow {
  status: RigStatus;
  troubles: readonly Trouble[];
  /** Somebody has to act, or had to until just now. */
  up: boolean;
}

const DAY_MS = 86_400_000;

/** "in 4:07"; from two days on in whole days, which nobody reads as hours. */
function timeToGo(toGoMs: number): string {
  return toGoMs < 2 * DAY_MS
    ? t("lead.cue.in", { time: countdownText(toGoMs) })
    : t("lead.header.inDays", { days: Math.floor(toGoMs / DAY_MS) });
}

const COLUMNS = ["rig", "filter", "now", "next", "card", "battery", "link", "says"] as const;

/** Up to so many rows have a line for a cue and one for its time. */
const ROOMY_ROWS = { low: 8, tall: 14 } as const;
/** More rows than fit on a laptop, or on a wall: rigs that need nobody fold into tiles. */
const MOST_ROWS = { low: 12, tall: 20 } as const;
/** Of rigs that need somebody: their rows are higher, and alerts stand above them. */
const MOST_UP = { low: 6, tall: 12 } as const;
const WALL = "(min-width: 75rem) and (min-height: 60rem)";

export function ArrayTable(props: { rows: readonly ArrayRow[]; now: RunNow; open: string | null }) {
  const height = useMedia(WALL) ? "tall" : "low";
  const { folds, rows, tiles } = foldRows(
    props.rows,
    MOST_ROWS[height],
    MOST_UP[height],
    ({ status }) => status.rig.id === props.open,
  );
  const roomy = ROOMY_ROWS[height] - (folds ? ROOM_OF_ALERTS : 0);
  return (
    <>
      {rows.length > 0 && <Rows {...props} rows={rows} tiles={tiles.length} dense={rows.length > roomy} />}
      {tiles.length > 0 && <Tiles rows={tiles} now={props.now} />}
    </>
  );
}

interface RowsProps {
  rows: readonly ArrayRow[];
  /** Below them: they take room, too. */
  tiles: number;
  now: RunNow;
  open: string | null;
  dense: boolean;
}

function Rows(props: RowsProps) {
  const room = { "--rows": props.rows.length, "--tiles": props.tiles } as CSSProperties;
  return (
    <table className="rows" data-rows={props.rows.length} data-dense={props.dense} style={room}>
      <thead>
        <tr>
          {COLUMNS.map((column) => (
            <th key={column} scope="col" className={`rows__${column}`}>
              {t(`lead.column.${column}`)}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {props.rows.map((row) => (
          <Row key={row.status.rig.id} {...row} now={props.now} open={props.open === row.status.rig.id} />
        ))}
      </tbody>
    </table>
  );
}

function Row(props: ArrayRow & { now: RunNow; open: boolean }) {
  const { status, troubles, now } = props;
  const { rig } = status;
  const worst = troubles[0];
  const taker = takerOf({ alertIds: troubles.map(({ alertId }) => alertId) }, now);
  const { runNow } = now.run;
  return (
    <tr
      className="row"
      data-trouble={worst?.priority ?? "none"}
      data-open={props.open}
      {...rowData(status, now)}
    >
      <th scope="row" className="rows__rig">
        <a
          className="row__open"
          href={props.open ? "#array" : `#array/${rig.id}`}
          aria-expanded={props.open}
          data-action="open-rig"
        >
          <span className="row__name">{rig.name}</span>
          <small>
            <bdi className="row__operator">{rig.operator || t(`rigKind.${rig.kind}`)}</bdi>
          </small>
        </a>
      </th>
      <td className="rows__filter">
        <FilterMark state={status.filter} exposed={status.exposed} />
        <small>{filterSince(status, now)}</small>
      </td>
      <td className="rows__now" data-cue-state={status.cueNow?.state ?? "none"}>
        {status.cueNow && (
          <>
            <span className="row__cue">{putWords(status.cueNow)}</span>
            <small>{cueStateWords(status.cueNow, runNow, now.run.contacts.c3)}</small>
          </>
        )}
      </td>
      <td className="rows__next">
        {status.cueNext && (
          <>
            <span className="row__cue">{putWords(status.cueNext)}</span>
            <small>{timeToGo(status.cueNext.dueMs - runNow)}</small>
          </>
        )}
      </td>
      <td className="rows__card">
        <bdi>{status.cardFreeGB === null ? null : factText("cardFreeGB", status.cardFreeGB)}</bdi>
      </td>
      <td className="rows__battery">
        <bdi>{status.batteryPct === null ? null : factText("batteryPct", status.batteryPct)}</bdi>
        {status.phoneBatteryPct !== null && (
          <small data-phone-battery>
            {t("lead.row.phone", { battery: factText("phoneBatteryPct", status.phoneBatteryPct) })}
          </small>
        )}
      </td>
      <td className="rows__link">
        <LinkCell status={status} now={now} />
      </td>
      <td className="rows__says" data-help={status.help?.value === true}>
        {worst && (
          <a className="row__trouble" href={`#array/${rig.id}`} onClick={() => go("array", rig.id)}>
            {t(worst.key, worst.values)}
            {taker !== null && <small> {t("lead.alert.taken", { who: taker })}</small>}
            {troubles.length > 1 && <small> {t("lead.alert.more", { count: troubles.length - 1 })}</small>}
          </a>
        )}
        <SetUp status={status} now={now} />
      </td>
    </tr>
  );
}

/** How far its set-up is, until first contact: "set-up 10/14". */
function SetUp({ status, now }: { status: RigStatus; now: RunNow }) {
  const { c1 } = now.run.contacts;
  const checks = setUpChecksFor(status.rig);
  const done = checks.filter((check) => status.checks[check]?.value).length;
  if (c1 === null || now.run.runNow >= c1 || checks.length === 0) return null;
  return (
    <span className="row__quiet" data-set-up={`${done}/${checks.length}`}>
      {t("lead.row.setUp", { done, of: checks.length })}
    </span>
  );
}

/** When the filter was last spoken of, by the clock that the screen shows. */
function filterSince(status: RigStatus, now: RunNow): string {
  const { word } = status.verdict;
  if (status.filter === "none by design" || status.filter === "unknown" || !word) return "";
  return clockText(runTime(now.practice, word.observedUtcMs));
}

/** How long a link has been lost stands with its alert: here stands when the rig was last heard. */
function LinkCell({ status, now }: { status: RigStatus; now: RunNow }) {
  const { linked, lastUtcMs } = status;
  if (!now.presenceKnown) return <span className="row__quiet">{t("lead.link.unknown")}</span>;
  if (linked.length === 0)
    return lastUtcMs === null ? (
      <span className="row__quiet">{t("lead.link.notJoined")}</span>
    ) : (
      <>
        <span>{t("lead.link.silent")}</span>
        <small>{t("lead.link.heard", { time: clockText(runTime(now.practice, lastUtcMs)) })}</small>
      </>
    );
  const bounds = linked.flatMap((device) => (device.boundMs === null ? [] : [device.boundMs]));
  const bound = bounds.length > 0 ? Math.max(...bounds) : null;
  return (
    <>
      <span>
        {linked.length === 1 ? t("lead.link.linked") : t("lead.link.several", { count: linked.length })}
      </span>
      <small>
        {linked.some((device) => device.armed) ? t("lead.link.armed") : t("lead.link.notArmed")}
        {bound !== null && (
          <span className="rows__bound">
            {" · "}
            <bdi>{boundText(bound)}</bdi>
          </span>
        )}
      </small>
    </>
  );
}
