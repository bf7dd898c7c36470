/** What a place gets, before and after it is saved: kind, contacts, Sun, limb, and how good it is. */
import type { Circumstances } from "../../../../shared/eclipse/circumstances-types.ts";
import { clockText, localClockText, zoneText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import {
  boundText,
  directionOf,
  type PlaceSummary,
  placeSummary,
  type Sentence,
  shiftText,
} from "./place-summary.ts";

export function WhatPlaceGets(props: { circumstances: Circumstances; zone: string; asking: boolean }) {
  const { circumstances, zone } = props;
  const summary = placeSummary(circumstances);
  const first = summary.contacts[0];
  const zoneName = first ? zoneText(first.utcMs, zone) : null;
  return (
    <section
      className="place-gets"
      data-place-kind={summary.gets.kind}
      data-asking={props.asking}
      aria-live="polite"
      aria-busy={props.asking}
    >
      <p className="place-gets__headline">{say(summary.headline)}</p>
      <p
        className={
          summary.gets.kind === "total"
            ? "place-gets__filters"
            : "place-gets__filters place-gets__filters--stay"
        }
      >
        {say(summary.filters)}
      </p>
      {summary.remarks.map((remark) => (
        <p key={remark.key}>
          {t(remark.key, { time: remark.atUtcMs ? `${clockText(remark.atUtcMs)} ${t("time.utc")}` : "" })}
        </p>
      ))}
      {summary.contacts.length > 0 && (
        <table className="place-gets__contacts">
          <thead>
            <tr>
              <th scope="col">{t("lead.place.contact")}</th>
              <th scope="col">{t("time.utc")}</th>
              <th scope="col">{zoneName ?? t("time.local")}</th>
              <th scope="col">{t("lead.place.height")}</th>
              <th scope="col">{t("lead.place.direction")}</th>
            </tr>
          </thead>
          <tbody>
            {summary.contacts.map((line) => (
              <tr key={line.name} data-contact={line.name} data-up={line.up}>
                <th scope="row">{t(`lead.contact.${line.name}`)}</th>
                <td className="figures">{tenths(line.utcMs)}</td>
                <td className="figures">{localClockText(line.utcMs, zone) ?? "—"}</td>
                <td className="figures">
                  {line.up ? `${line.altitudeDeg.toFixed(1)}°` : t("lead.place.sunDown")}
                </td>
                <td className="figures">
                  {Math.round(line.azimuthDeg) % 360}° {t(`lead.direction.${directionOf(line.azimuthDeg)}`)}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {summary.gets.visible && <HowGood summary={summary} />}
    </section>
  );
}

function HowGood(props: { summary: PlaceSummary }) {
  const { summary } = props;
  const inner = summary.contacts.filter((line) => line.limbShiftS !== null);
  const [c2, c3] = inner;
  const central = summary.contacts.some((line) => line.name === "c2");
  return (
    <div className="place-gets__bound" data-bound-s={summary.boundS}>
      <p>
        <strong>
          {t(central ? "lead.place.bound" : "lead.place.boundOuter", { time: boundText(summary.boundS) })}
        </strong>
      </p>
      {c2 && c3 && (
        <p>
          {t("lead.place.limb", {
            c2: shiftText(c2.limbShiftS ?? 0),
            c3: shiftText(c3.limbShiftS ?? 0),
          })}
        </p>
      )}
      {summary.sun && <p data-sun={summary.sun.key}>{say(summary.sun)}</p>}
      <details>
        <summary>{t("lead.place.shares")}</summary>
        <ul className="place-gets__shares">
          {summary.shares.map((share) => (
            <li key={share.cause}>
              <bdi className="figures">{boundText(share.s)}</bdi> {t(`lead.share.${share.cause}`)}
            </li>
          ))}
        </ul>
      </details>
      <p className="soft">{t("lead.place.lastWord")}</p>
    </div>
  );
}

/** UTC to a tenth of a second: no finer than it is known. */
function tenths(atMs: number): string {
  const rounded = Math.round(atMs / 100) * 100;
  return `${clockText(rounded)}.${Math.floor((rounded % 1000) / 100)}`;
}

function say(sentence: Sentence): string {
  return t(sentence.key, sentence.values);
}
