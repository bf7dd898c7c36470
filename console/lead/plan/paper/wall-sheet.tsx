/**
 * The whole plan on one page for the wall: when everything happens, who is at which rig, when each
 * filter comes off and goes on, and every rig's cues on one line of time.
 */
import type { CSSProperties } from "react";
import type { ContactName } from "../../../../shared/eclipse/circumstances-types.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { cueTimeline } from "../../../../shared/run/cues/cue-timeline.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { clockText, localClockText, zoneText } from "../../../parts/time-format.ts";
import { TimeLine } from "../../../parts/time-line.tsx";
import { t } from "../../../words/words.ts";
import { cautionsFor } from "./cautions.ts";
import { Stamp } from "./stamp.tsx";

const NAMES: readonly ContactName[] = ["c1", "c2", "max", "c3", "c4"];

export function WallSheet({ state, contacts }: { state: SiteState; contacts: EffectiveContacts }) {
  const { plan, circumstances } = state;
  const zone = plan.site?.zone ?? "";
  const known = NAMES.flatMap((name) => {
    const at = contacts[name];
    return at === null ? [] : [{ name, at, height: circumstances?.contacts[name]?.altitudeDeg ?? null }];
  });
  const zoneName = known[0] ? zoneText(known[0].at, zone) : null;
  const cautions = [...new Set(plan.rigs.flatMap((rig) => cautionsFor(rig, state)))];
  return (
    <article className="sheet__page wall-sheet" data-sheet-wall style={fitFor(plan.rigs.length)}>
      <header className="sheet__head">
        <h1>{plan.group || t("paper.wall")}</h1>
        <Stamp state={state} />
      </header>
      <table className="wall-sheet__contacts">
        <thead>
          <tr>
            <th scope="col">{t("lead.place.contact")}</th>
            <th scope="col">{t("time.utc")}</th>
            <th scope="col">{zoneName ?? t("time.local")}</th>
            <th scope="col">{t("lead.place.height")}</th>
          </tr>
        </thead>
        <tbody>
          {known.map(({ name, at, height }) => (
            <tr key={name} data-wall-contact={name}>
              <th scope="row">{t(`lead.contact.${name}`)}</th>
              <td className="figures">{clockText(at)}</td>
              <td className="figures">{localClockText(at, zone) ?? "—"}</td>
              <td className="figures">{height === null ? "—" : `${height.toFixed(0)}°`}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <TimeLine
        contacts={contacts}
        runNow={null}
        rows={plan.rigs.map((rig) => ({
          id: rig.id,
          label: rig.name,
          cues: cueTimeline(rig, contacts).map((one) => ({ ...one, handsS: one.cue.handsS })),
        }))}
      />
      <table className="wall-sheet__rigs">
        <thead>
          <tr>
            <th scope="col">{t("paper.rig")}</th>
            <th scope="col">{t("paper.who")}</th>
            <th scope="col">{t("paper.filterOff")}</th>
            <th scope="col">{t("paper.filterOn")}</th>
          </tr>
        </thead>
        <tbody>
          {plan.rigs.map((rig) => (
            <tr key={rig.id} data-wall-rig={rig.id}>
              <th scope="row">
                {rig.name} <small>{t(`rigKind.${rig.kind}`)}</small>
              </th>
              <td>{rig.operator || "—"}</td>
              <td className="figures">{timeOf(rig, "filter-off", contacts) ?? notOff(rig)}</td>
              <td className="figures">{timeOf(rig, "filter-on", contacts) ?? "—"}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <ul className="cue-sheet__cautions">
        {cautions.map((key) => (
          <li key={key}>{t(key)}</li>
        ))}
      </ul>
      <p className="cue-sheet__foot">{t("rules.caution")}</p>
    </article>
  );
}

/** What a page of Letter (the lower of the two usual ones) has, and what the sheet takes, pt: measured. */
const PAGE_PT = 705;
const HEAD_PT = 420;
const RIG_PT = 55;
/** Smaller than this nobody reads it from a wall: then it runs on. */
const LEAST_FIT = 0.45;

/** How much smaller it is printed, so that it stays on one page: up to some twenty rigs. */
function fitFor(rigs: number): CSSProperties {
  const fit = Math.max(LEAST_FIT, Math.min(1, PAGE_PT / (HEAD_PT + RIG_PT * rigs)));
  return { "--fit": fit } as CSSProperties;
}

function timeOf(rig: Rig, action: "filter-off" | "filter-on", contacts: EffectiveContacts): string | null {
  const one = cueTimeline(rig, contacts).find(({ cue }) => cue.action === action);
  return one ? `${clockText(one.dueMs)} ${t("time.utc")}` : null;
}

function notOff(rig: Rig): string {
  return rig.filter === "none by design" ? t("filter.none") : t("paper.staysOn");
}
