/**
 * What the devices' own clocks say of the hub's. Those that contradict it stand first, each with its
 * button to set it aside; those that agree are counted, and named when asked for.
 */
import { AlertLine } from "../../../parts/alert-line.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { ClockStatus, WitnessStatus } from "./clock-status.ts";
import { signedMs } from "./signed-ms.ts";

interface WitnessListProps {
  witnesses: ClockStatus["witnesses"];
  nameOf: (deviceId: string) => string;
  /** What a doubt of the clock means stands above already. */
  doubtSaid: boolean;
  setAside: (deviceId: string, yes: boolean) => void;
}

export function WitnessList({ witnesses, nameOf, doubtSaid, setAside }: WitnessListProps) {
  const { devices } = witnesses;
  const against = devices.filter(({ standing }) => standing === "disagrees");
  const agreeing = devices.filter(({ standing }) => standing === "agrees");
  const others = devices.filter(({ standing }) => standing !== "agrees");
  const worst = against.reduce((most, one) => Math.max(most, Math.abs(one.offsetMs)), 0);
  const { verdict, count, byMs } = witnesses;
  return (
    <section className="witnesses" data-witnesses={verdict}>
      <h2>{t("lead.clock.witnesses")}</h2>
      {against.length > 0 && (
        <AlertLine
          priority="caution"
          announce
          title={t("lead.clock.against", { count: against.length, by: signedMs(worst).slice(1) })}
          detail={`${doubtSaid ? "" : `${t("lead.clock.inDoubt")} `}${t("lead.clock.againstSays")}`}
        />
      )}
      {against.length === 0 && verdict === "disputed" && (
        <p>{t("lead.clock.disputed", { count, by: signedMs(byMs) })}</p>
      )}
      {against.length === 0 && verdict === "too few" && <p>{t("lead.clock.tooFew", { count })}</p>}
      {others.length > 0 && (
        <>
          <Table rows={others} nameOf={nameOf} setAside={setAside} />
          <p className="soft">{t("lead.clock.asideSays")}</p>
        </>
      )}
      {agreeing.length > 0 && (
        <details className="clock-screen__more">
          <summary>{t("lead.clock.agreed", { count: agreeing.length })}</summary>
          <Table rows={agreeing} nameOf={nameOf} />
        </details>
      )}
    </section>
  );
}

/** Without `setAside` the rows have nothing to press. */
function Table(props: {
  rows: readonly WitnessStatus[];
  nameOf: WitnessListProps["nameOf"];
  setAside?: WitnessListProps["setAside"];
}) {
  const { setAside } = props;
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">{t("lead.clock.device")}</th>
          <th scope="col">{t("lead.clock.ownClock")}</th>
          <th scope="col">{t("lead.clock.column.state")}</th>
        </tr>
      </thead>
      <tbody>
        {props.rows.map((one) => {
          const name = props.nameOf(one.deviceId);
          const aside = one.standing === "set aside";
          const words = t(aside ? "lead.clock.countAgain" : "lead.clock.setAside");
          return (
            <tr key={one.deviceId} data-witness={one.deviceId} data-standing={one.standing}>
              <th scope="row">
                <bdi>{name}</bdi>
                {one.label !== "" && !name.startsWith(one.label) && (
                  <small className="clock-screen__why">
                    <bdi>{one.label}</bdi>
                  </small>
                )}
              </th>
              <td className="figures">
                <bdi>{signedMs(one.offsetMs)}</bdi>
                {one.ageS === null && <small className="clock-screen__why">{t("lead.clock.notHeard")}</small>}
              </td>
              <td>
                <div className="witnesses__standing">
                  {t(STANDING[one.standing])}
                  {setAside && (
                    <Button
                      action={aside ? "count-again" : "set-aside"}
                      label={`${words}: ${name}`}
                      onClick={() => setAside(one.deviceId, !aside)}
                    >
                      {words}
                    </Button>
                  )}
                </div>
              </td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

const STANDING = {
  agrees: "lead.clock.standing.agrees",
  disagrees: "lead.clock.standing.disagrees",
  outvoted: "lead.clock.standing.outvoted",
  "set aside": "lead.clock.standing.setAside",
} as const;
