/**
 * Where the time comes from, a row per source. The row in use has the clock's own bound, the same
 * number as in the header; what the source knows by itself stands under it where that differs.
 */
import { boundText } from "../../../parts/time-format.ts";
import { isWordKey, t } from "../../../words/words.ts";
import { shortLength } from "../../shell/short-length.ts";
import type { SourceStatus } from "./clock-status.ts";
import { plainDetail } from "./plain-detail.ts";
import { signedMs } from "./signed-ms.ts";

/** `boundMs`: the clock's own. */
export function SourceList(props: { sources: readonly SourceStatus[]; boundMs: number }) {
  return (
    <table>
      <thead>
        <tr>
          {(["source", "state", "offset", "bound", "age"] as const).map((column) => (
            <th key={column} scope="col">
              {t(`lead.clock.column.${column}`)}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {props.sources.map((one) => (
          <tr key={one.id} data-source={one.kind} data-state={one.state}>
            <th scope="row">
              {t(`lead.source.${one.kind}`)}
              <Why source={one} />
            </th>
            <td>
              {isWordKey(`lead.sourceState.${one.state}`)
                ? t(`lead.sourceState.${one.state}` as never)
                : one.state}
            </td>
            <td className="figures">
              <bdi>{one.offsetMs === null ? "—" : signedMs(one.offsetMs)}</bdi>
            </td>
            <td className="figures">
              <Bound source={one} boundMs={props.boundMs} />
            </td>
            <td className="figures">
              <bdi>{one.ageS === null ? "—" : shortLength(one.ageS * 1000)}</bdi>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Bound({ source, boundMs }: { source: SourceStatus; boundMs: number }) {
  const own = boundText(source.boundMs);
  const clock = boundText(boundMs);
  if (source.state !== "inUse" || own === clock) return <bdi>{own}</bdi>;
  return (
    <>
      <bdi>{clock}</bdi>
      <small className="clock-screen__why">{t("lead.clock.byItself", { bound: own })}</small>
    </>
  );
}

/** Why a source is as it is, in plain words. */
function Why(props: { source: SourceStatus }) {
  const plain = plainDetail(props.source);
  return plain && <small className="clock-screen__why">{t(plain)}</small>;
}
